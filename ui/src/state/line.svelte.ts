// The free line: what is typed, what it would record, and the correction of an entry.
import * as api from '../api'
import type { Step } from '../steps'
import type { Candidate } from '../wire/Candidate'
import type { LineRow } from '../wire/LineRow'
import type { Trouble } from '../wire/Trouble'
import { changesOf, fieldOf } from './correction'
import { channel } from './channel.svelte'
import { type History, history } from './history.svelte'
import { type Operation, operation } from './operation.svelte'
import { place } from './place.svelte'

export class FreeLine {
  text = $state('')
  candidates = $state.raw<Candidate[]>([])
  /** Which candidate Enter records. */
  choice = $state(0)
  /** The entry that is being corrected. */
  correcting = $state.raw<LineRow | null>(null)
  /** The entry whose words are to be erased by law, while that is asked. */
  erasing = $state.raw<LineRow | null>(null)
  /** The entry the arrows are on, by its number along the line. */
  walk = $state<number | null>(null)
  /** Why the last line was not recorded. */
  refused = $state.raw<Trouble | null>(null)
  /** Words that were half typed when a correction was opened; they come back after it. */
  #half = ''
  /** True once ↓ chose a candidate: only then does Enter record from an empty line. */
  #chosen = $state(false)
  #ticket = 0
  /** The line that the candidates answer; `null` while an answer is on its way. */
  #answered: string | null = ''
  #queue: Promise<void> = Promise.resolve()
  /** Lines that were taken before their answer came; they are recorded one after the other, and stay in sight until then. */
  inHand = $state.raw<string[]>([])
  readonly #operation: Operation
  readonly #history: History

  constructor(of: Operation, along: History) {
    this.#operation = of
    this.#history = along
  }

  get chosen(): Candidate | undefined {
    return this.candidates[this.choice]
  }

  /** Enter would record something. */
  get ready(): boolean {
    return this.chosen !== undefined && (this.text.trim() !== '' || this.#chosen)
  }

  type(text: string): void {
    this.text = text
    this.choice = 0
    this.#chosen = false
    this.walk = null
    this.refused = null
    this.ask()
  }

  /** Asks again what the line stands for: after typing, and when the motion changed. */
  ask(): void {
    void this.#ask()
  }

  async #ask(): Promise<void> {
    const ticket = ++this.#ticket
    const { text } = this
    if (this.correcting) {
      const view = this.#operation.view
      this.#offer(view ? changesOf(this.correcting, text, view) : [], text)
      return
    }
    this.#answered = null
    try {
      const [found, near] = await Promise.all([api.complete(text), this.#metresNear(text)])
      if (ticket === this.#ticket) this.#offer([...found, ...near], text)
    } catch (error) {
      if (ticket !== this.#ticket) return
      // What was typed can still be kept as a note.
      this.#offer(asNote(text), text)
      this.refused = api.asTrouble(error, 'free line')
    }
  }

  /** After a bare "m": the next metres to be called, for hands that cannot type a number. Never the first. */
  async #metresNear(text: string): Promise<Candidate[]> {
    const motion = this.#operation.view?.motion
    if (!/^m\s*$/i.test(text) || !motion) return []
    const out = motion.metres_out ?? 0
    const way = motion.motion === 'raising' ? -1 : 1
    const lines = METRES_ON.map((metres) => out + way * metres).filter((metres) => metres >= 0)
    const found = await Promise.all(lines.map((metres) => api.complete(`m ${metres}`)))
    return found.flatMap((candidates) => candidates.find((one) => one.step['metres'] !== undefined) ?? [])
  }

  #offer(found: Candidate[], text: string): void {
    this.candidates = found
    this.#answered = text
    if (this.choice >= found.length) this.choice = 0
  }

  next(by: 1 | -1): void {
    const count = this.candidates.length
    if (count === 0) return
    // On an empty line the first ↓ chooses the first candidate; nothing was chosen before.
    if (!this.text && !this.#chosen) this.choice = by === 1 ? 0 : count - 1
    else this.choice = (this.choice + by + count) % count
    this.#chosen = true
  }

  /** Enter: records what stands at the right. Where the answer to what was typed has not come yet, the line is taken as it
   *  is and recorded when it comes: what is typed after Enter is the next line, and half a word is never recorded. */
  async enter(): Promise<void> {
    if (this.walk !== null) return this.#openWalked()
    const answered = this.#answered === this.text
    if (answered && this.inHand.length === 0) {
      if (this.ready && this.chosen) await this.record(this.chosen)
    } else if (this.text.trim() !== '' && !this.correcting) {
      await this.#take(answered ? this.chosen : undefined)
    }
  }

  #take(chosen: Candidate | undefined): Promise<void> {
    const held = this.#letGo()
    this.inHand = [...this.inHand, held.text]
    const earlier = this.#queue
    const taken = (async () => {
      // Whatever became of the line before: this one is recorded.
      await earlier.catch(() => {})
      const found = chosen ?? (await this.firstOf(held.text)) ?? asNote(held.text)[0]
      const recorded = found && this.#send(found, held)
      this.inHand = this.inHand.slice(1)
      await recorded
    })()
    this.#queue = taken
    return taken
  }

  /** Records a candidate; the line is free again at once, and gets its words back if it was refused. */
  async record(candidate: Candidate): Promise<void> {
    await this.#send(candidate, this.#letGo())
  }

  #letGo(): Held {
    const { text, correcting } = this
    this.clear()
    return { text, correcting }
  }

  async #send(candidate: Candidate, { text, correcting }: Held): Promise<void> {
    const step = candidate.step as unknown as Step
    if (correcting && isNothing(step)) return
    const outcome = await this.#operation.record(spoken(step))
    if ('saved' in outcome && candidate.doubt) this.#operation.tell(candidate.doubt)
    if ('saved' in outcome || !this.#operation.refusedForGood(outcome.key)) return
    this.#operation.takeBack(outcome.key)
    if (this.text === '') {
      this.correcting = correcting
      this.text = text
      this.ask()
    }
    this.refused = outcome.trouble
  }

  clear(): void {
    this.text = this.#half
    this.#half = ''
    this.correcting = null
    this.walk = null
    this.choice = 0
    this.#chosen = false
    this.refused = null
    this.#history.now()
    this.ask()
  }

  /** A stop makes room: a correction in which nothing was typed yet is left. */
  standBack(): void {
    const row = this.correcting
    if (row && this.text === (fieldOf(row)?.value ?? '')) this.clear()
    else this.walk = null
  }

  /** A fresh Backspace on the empty line: corrects the last entry, or leaves a correction. */
  backspace(): void {
    if (this.correcting) return this.clear()
    const last = this.#lastCorrectable()
    if (last && this.text === '') this.open(last)
  }

  /** Asks for who and why before the words of the entry under correction go for good. */
  askErase(): void {
    this.erasing = this.correcting
    if (this.erasing) this.clear()
  }

  /** The key "correct": opens the last entry whatever is typed. */
  correctLast(): void {
    const last = this.#lastCorrectable()
    if (last) this.open(last)
    place.focusLine()
  }

  /** The likeliest candidate of a line that nobody typed. */
  async firstOf(line: string): Promise<Candidate | null> {
    try {
      return (await api.complete(line))[0] ?? null
    } catch {
      return null
    }
  }

  /** A key that stands for a line: records it at once when it is whole, else leaves it to be finished. */
  async offer(line: string): Promise<void> {
    const first = line.endsWith(' ') ? null : await this.firstOf(line)
    if (first && first.step['do'] !== 'note') await this.#operation.record(spoken(first.step as unknown as Step))
    else this.type(line)
  }

  #lastCorrectable(): LineRow | null {
    const rows = this.#operation.view?.rows ?? []
    const recorded = rows.filter((row) => fieldOf(row) !== null)
    return recorded.reduce<LineRow | null>((last, row) => (last && last.seq > row.seq ? last : row), null)
  }

  /** Opens an entry as a correction, its words in the line. */
  open(row: LineRow): void {
    if (!this.correcting) this.#half = this.text
    this.correcting = row
    this.text = fieldOf(row)?.value ?? ''
    this.choice = 0
    this.#chosen = false
    this.walk = null
    this.refused = null
    this.ask()
  }

  /** ↑ ↓ on an empty line walk the entries; past the last one they leave them. */
  async walkBy(by: 1 | -1): Promise<void> {
    const total = this.#history.total
    const from = this.walk ?? this.#history.end ?? total
    const to = from + by
    if (to < 0) return
    if (to >= total) {
      this.walk = null
      this.#history.now()
      return
    }
    this.walk = to
    await this.#history.reveal(to)
  }

  async #openWalked(): Promise<void> {
    if (this.walk === null) return
    const row = await this.#history.row(this.walk)
    if (row && fieldOf(row)) this.open(row)
  }
}

/** A line that left the field: its words come back if it is refused. */
type Held = Pick<FreeLine, 'text' | 'correcting'>

/** How far on the next call of metres may be. */
const METRES_ON = [1, 2, 5]

const asNote = (text: string): Candidate[] => {
  const words = text.trim()
  if (!words) return []
  return [{ who: 'note:', text: words, step: { do: 'note', from: 'scribe', text: words }, doubt: '' }]
}

const SAID = new Set(['order', 'readback', 'answer', 'report'])

/** A call goes by the channel that is chosen, unless the line named one. */
const spoken = (step: Step): Step => (SAID.has(step.do) && !step.by ? { ...step, by: channel.name } : step)

/** A correction that changes nothing. */
const isNothing = (step: Step): boolean => step.do === 'correct' && Object.keys(step).length === 2

export const freeLine = new FreeLine(operation, history)
