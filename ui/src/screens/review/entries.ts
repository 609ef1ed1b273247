import * as api from '../../api'
import type { LineRow } from '../../wire/LineRow'

/** Most entries of one finding that are shown: a long day says the same many times. */
export const MOST = 20

/** The rows of these entries, in the order of the line; `order` says which entry stands where. Neighbours are asked for together. */
export async function rowsOf(seqs: readonly number[], order: readonly number[]): Promise<LineRow[]> {
  const wanted = new Set(seqs)
  const places: number[] = []
  for (let i = 0; i < order.length && places.length < MOST; i += 1) if (wanted.has(order[i] ?? -1)) places.push(i)
  const rows: LineRow[] = []
  for (let i = 0; i < places.length; ) {
    const first = places[i] ?? 0
    let next = i + 1
    while (next < places.length && places[next] === first + (next - i)) next += 1
    rows.push(...(await api.rows(first, next - i)))
    i = next
  }
  return rows
}
