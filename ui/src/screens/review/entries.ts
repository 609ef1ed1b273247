import * as api from '../../api'
import type { LineRow } from '../../wire/LineRow'

const PAGE = 500

/** Every row of the line by its entry number, read in pages. */
export async function rowsBySeq(total: number): Promise<Map<number, LineRow>> {
  const out = new Map<number, LineRow>()
  for (let from = 0; from < total; from += PAGE) {
    for (const row of await api.rows(from, PAGE)) out.set(row.seq, row)
  }
  return out
}
