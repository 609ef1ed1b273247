// Along the line: the rows that end now, or rows further back, asked for by their numbers; whole, or the part that was asked for.
import * as api from '../api'
import type { Asked } from '../wire/Asked'
import type { LineRow } from '../wire/LineRow'
import type { View } from '../wire/View'
import { type Operation, operation } from './operation.svelte'

/** Rows asked for at once: more than fit on any window. */
const ASKED = 80
/** Rows after them that are asked for too: where a motion that is shown ended. */
const AHEAD = 40

export class History {
  readonly #operation: Operation
  /** Number of the first row that is not shown any more (0 is the first row of all); null is now. */
  end = $state<number | null>(null)
  /** How many rows the line shows, told by the line. */
  fit = $state(20)
  #from = $state(0)
  #rows = $state.raw<LineRow[]>([])
  #ticket = 0
  /** The part of the line that is shown; null: all of it. */
  part = $state.raw<Asked | null>(null)
  /** How many rows the part has. */
  #count = $state(0)

  constructor(of: Operation) {
    this.#operation = of
  }

  get #view(): View | null {
    return this.#operation.view
  }

  get total(): number {
    return this.part ? this.#count : this.whole
  }

  /** Rows of the whole line. */
  get whole(): number {
    return this.#view?.total_rows ?? 0
  }

  /** Shows a part of the line, its end first; what asks for everything shows all of it. */
  ask(part: Asked): Promise<void> {
    if (part.who === null && part.kind === null && !part.flagged) {
      this.all()
      return Promise.resolve()
    }
    return this.#to(null, part)
  }

  /** All of the line again, from now. */
  all(): void {
    this.#ticket += 1
    this.part = null
    this.end = null
  }

  /** Rows newer than those shown. */
  get newer(): number {
    return this.end === null ? 0 : Math.max(0, this.total - this.end)
  }

  /** The rows up to `end`, or the last of the view, with the number of the first of them. */
  get shown(): { rows: LineRow[]; from: number; ahead: LineRow[] } {
    const view = this.#view
    if (!view) return { rows: [], from: 0, ahead: [] }
    if (this.end === null && this.part) return { rows: this.#rows, from: this.#from, ahead: [] }
    if (this.end === null) return { rows: view.rows, from: view.total_rows - view.rows.length, ahead: [] }
    const count = this.end - this.#from
    return { rows: this.#rows.slice(0, count), from: this.#from, ahead: this.#rows.slice(count) }
  }

  now(): void {
    if (this.part) void this.#to(null)
    else this.end = null
  }

  home(): Promise<void> {
    return this.#to(Math.min(this.fit, this.total))
  }

  /** By whole rows: negative is back in time. */
  by(rows: number): Promise<void> {
    const end = (this.end ?? this.total) + rows
    if (end >= this.total) {
      this.now()
      return Promise.resolve()
    }
    return this.#to(Math.max(end, Math.min(this.fit, this.total)))
  }

  page(direction: -1 | 1): Promise<void> {
    return this.by(direction * Math.max(1, this.fit - 2))
  }

  /** Brings row `index` into view. */
  reveal(index: number): Promise<void> {
    const end = this.end ?? this.total
    if (index >= end) return this.by(index + 1 - end)
    if (index < end - this.fit + 1) return this.by(index + Math.max(1, this.fit - 1) - end)
    return Promise.resolve()
  }

  /** Rows further back may have been corrected: they are asked for again when the record grew. */
  refresh(): void {
    if (this.end !== null || this.part) void this.#to(this.end)
  }

  async row(index: number): Promise<LineRow | null> {
    const { rows, from } = this.shown
    const known = rows[index - from]
    if (known) return known
    if (this.part) return (await api.sifted(this.part, index, 1)).rows[0] ?? null
    return (await api.rows(index, 1))[0] ?? null
  }

  /** To the row before `end`; null is the last of all. */
  async #to(end: number | null, part = this.part): Promise<void> {
    const ticket = ++this.#ticket
    const from = end === null ? null : Math.max(0, end - ASKED)
    const count = end === null || from === null ? ASKED : end - from + AHEAD
    try {
      const found = part ? await api.sifted(part, from, count) : { rows: await api.rows(from ?? 0, count), from: from ?? 0, total: 0 }
      if (ticket !== this.#ticket) return
      this.part = part
      this.#count = found.total
      this.#rows = found.rows
      this.#from = found.from
      this.end = end
    } catch {
      // The line stays where it was; that nothing is answered stands in the strip.
    }
  }
}

export const history = new History(operation)
