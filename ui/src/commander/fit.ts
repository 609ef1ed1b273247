// How a column shares its lines among its cells: what departs has them first, every cell keeps its head, and what does
// not fit is counted, never dropped unsaid.
import type { Cell, Row } from './cells'

export interface FittedRow extends Row {
  /** Rows after this one that are not shown. */
  more: number
}

export interface Fitted {
  cell: Cell
  rows: FittedRow[]
  /** Lines it takes, its head included. */
  lines: number
}

const GRAVITY = { red: 2, amber: 1, '': 0 } as const

const linesOf = (row: Row): number => (row.note ? 2 : 1)
const wants = (cell: Cell): number => cell.rows.reduce((sum, row) => sum + linesOf(row), 0)

/** Shares `lines` among the cells, in their order. */
export function fit(cells: Cell[], lines: number): Fitted[] {
  const given = cells.map(() => 0)
  let left = Math.max(0, lines - cells.length)
  const give = (i: number, most: number): void => {
    const more = Math.min(left, most - (given[i] ?? 0))
    if (more <= 0) return
    given[i] = (given[i] ?? 0) + more
    left -= more
  }
  const worstFirst = cells.map((_, i) => i).sort((a, b) => GRAVITY[cells[b]?.tone ?? ''] - GRAVITY[cells[a]?.tone ?? ''] || a - b)
  // A name in every cell comes before the second name in one; who is clear is counted first and named last.
  const exposed = worstFirst.filter((i) => cells[i]?.id !== 'clear')
  for (const i of exposed) give(i, Math.min(1, wants(cells[i] as Cell)))
  for (const i of [...exposed, ...worstFirst.filter((one) => !exposed.includes(one))]) give(i, wants(cells[i] as Cell))
  return cells.map((cell, i) => {
    const rows = shown(cell.rows, given[i] ?? 0)
    return { cell, rows, lines: 1 + rows.reduce((sum, row) => sum + linesOf(row), 0) }
  })
}

function shown(rows: Row[], lines: number): FittedRow[] {
  const out: FittedRow[] = []
  let left = lines
  for (const row of rows) {
    if (left < 1) break
    // A name without its note before no name at all.
    const fits = linesOf(row) <= left ? row : { ...row, note: undefined }
    out.push({ ...fits, more: 0 })
    left -= linesOf(fits)
  }
  const last = out.at(-1)
  if (last) last.more = rows.length - out.length
  return out
}
