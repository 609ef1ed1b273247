// The open operation as the screens see it: the last view, what is being written, and what could
// not be. Every entry goes through `record`; none is dropped until it is on the disk or taken back.
import * as api from '../api'
import { type Step, sideOf, wordsOf } from '../steps'
import type { Acked } from '../wire/Acked'
import type { Trouble } from '../wire/Trouble'
import type { View } from '../wire/View'
import { moment } from '../words'
import { Clock } from './clock.svelte'

/** An entry that was made and is not yet known to be on the disk. */
export interface Pending {
  key: number
  /** What the program knows the entry by, however often it is sent. */
  id: string
  /** How often it was sent. */
  tries: number
  step: Step
  atMs: number
  who: string
  text: string
  side: 'left' | 'right' | 'across'
  /** `refused`: malformed, only the scribe can put it right. `failed`: tried again until it is saved. */
  state: 'writing' | 'failed' | 'refused'
  trouble: Trouble | null
}

/** `key` finds the entry in `pending`, where it stays. */
export type Outcome = { saved: Acked } | { trouble: Trouble; key: number }

/** Codes of troubles of the step itself: sending the same again would be refused again. */
export const isRefusal = (trouble: Trouble): boolean => !RETRIED.has(trouble.code)

/** Codes of troubles of the disk or of the way to it. */
const RETRIED = new Set([
  'no_answer', 'disk', 'io', 'lock', 'locked', 'busy', 'storage', 'journal', 'could_not',
  'file_locked', 'file_read_only', 'written_elsewhere',
])
/** A fault of the program's own is not tried for ever: a step that causes it would cause it again. */
const FAULT_TRIES = 3
/** A retry this late says when the call was made. */
const LATE_MS = 2000
const WENT_MS = 3000
const STALLED_MS = 3000
const SILENT_MS = 5000

const NO_ANSWER: Trouble = {
  code: 'no_answer',
  what: 'the program does not answer',
  where: '',
  remedy: 'write on paper; the entries above are kept here',
}

export class Operation {
  view = $state.raw<View | null>(null)
  pending = $state.raw<Pending[]>([])
  /** Set while the program does not answer. */
  unreachable = $state.raw<Trouble | null>(null)
  /** Where the last late entry or correction went ("hangs at 13:25:20"), for three seconds. */
  went = $state('')
  /** The last call that was recorded here, for "repeat". */
  last = $state.raw<Step | null>(null)
  readonly clock: Clock

  #ticket = 0
  #shown = 0
  #key = 0
  /** When the view was asked for that is not answered yet. */
  #askedMs: number | null = null
  #queue: Promise<unknown> = Promise.resolve()
  #wentTimer: ReturnType<typeof setTimeout> | undefined

  constructor(clock: Clock = new Clock()) {
    this.clock = clock
  }

  /** Why the saved mark is red, if it is. */
  readonly trouble = $derived<Trouble | null>(
    this.pending.find((entry) => entry.state !== 'writing')?.trouble ?? this.#storeTrouble() ?? this.unreachable,
  )

  readonly writing = $derived(this.pending.some((entry) => entry.state === 'writing'))

  /** The disk has not answered for so long that nobody should count on it. */
  readonly stalled = $derived(
    this.pending.some((entry) => entry.state === 'writing' && this.clock.now - entry.atMs > STALLED_MS),
  )

  #storeTrouble(): Trouble | null {
    // Who only reads along has nothing that could be lost.
    const what = this.view?.saved.writes ? this.view.saved.trouble : null
    return what ? { code: 'disk', what, where: this.view?.operation.file ?? '', remedy: '' } : null
  }

  /** Shows a view that was just answered to an act, an opening or a poll asked for as `ticket`. */
  show(view: View, ticket = ++this.#ticket): void {
    if (ticket < this.#shown || this.#isOlder(view)) return
    this.#shown = ticket
    this.view = view
    this.unreachable = null
    this.clock.set(view.now_ms)
  }

  /** A poll that was answered before an entry and arrives after it would take the entry off the screen. */
  #isOlder(view: View): boolean {
    const now = this.view
    return now !== null && now.operation.file === view.operation.file && view.saved.count < now.saved.count
  }

  /** No operation is open. */
  leave(): void {
    this.#shown = ++this.#ticket
    // What another operation still waits for holds nothing up in the next one.
    this.#queue = Promise.resolve()
    this.#askedMs = null
    this.view = null
    this.pending = []
    this.last = null
    this.unreachable = null
  }

  /** Asks for the view, one question at a time; one that is not answered is said, not repeated. */
  async poll(): Promise<void> {
    if (!this.view) return
    if (this.#askedMs !== null) {
      if (this.clock.exact() - this.#askedMs > SILENT_MS) this.unreachable = NO_ANSWER
      return
    }
    this.#askedMs = this.clock.exact()
    const ticket = ++this.#ticket
    try {
      const view = await api.view()
      if (this.view) this.show(view, ticket)
    } catch (error) {
      this.unreachable = api.asTrouble(error, 'view')
    }
    this.#askedMs = null
    this.#retry()
  }

  /** Steps the clock and polls once a second until the answer is called. */
  run(): () => void {
    return this.clock.run(() => void this.poll())
  }

  /**
   * Records a step: shown at once, written in the order it was made. Resolves when it is on the
   * disk, or when it was not and stays in `pending`.
   */
  record(step: Step): Promise<Outcome> {
    const atMs = this.clock.exact()
    const entry: Pending = {
      key: ++this.#key,
      id: `${Math.floor(atMs)}-${crypto.randomUUID()}`,
      tries: 0,
      step,
      atMs,
      ...wordsOf(step),
      side: sideOf(step),
      state: 'writing',
      trouble: null,
    }
    this.pending = [...this.pending, entry]
    if (REPEATED.has(step.do)) this.last = step
    return step.do === 'check' ? this.#reckoned(entry, step) : this.#write(entry, step)
  }

  /** A check takes its time to work out: what is called meanwhile goes first. Failing that it is worked out when it is recorded. */
  async #reckoned(entry: Pending, step: Step & { do: 'check' }): Promise<Outcome> {
    await api.reckonCheck(step.rig ?? null).catch(() => null)
    // The operation was left meanwhile: the check is of no other.
    if (!this.pending.some((one) => one.key === entry.key)) return { trouble: NO_ANSWER, key: entry.key }
    return this.#write(entry, step)
  }

  /** The entry is malformed: it is not tried again. */
  refusedForGood(key: number): boolean {
    return this.pending.some((entry) => entry.key === key && entry.state === 'refused')
  }

  /** Writes from now on, the program that wrote being gone. */
  async takeOver(): Promise<void> {
    try {
      this.show(await api.takeOver())
    } catch (error) {
      this.unreachable = api.asTrouble(error, 'take over')
    }
  }

  /** Takes an entry that could not be saved out of `pending`, to be put right by hand. */
  takeBack(key: number): Step | null {
    const entry = this.pending.find((one) => one.key === key && one.state !== 'writing')
    if (!entry) return null
    this.pending = this.pending.filter((one) => one.key !== key)
    return entry.step
  }

  /** Writes what failed once more, now. */
  tryAgain(): void {
    this.#retry()
  }

  #write(entry: Pending, step: Step): Promise<Outcome> {
    const written = this.#queue.then(() => this.#send(entry, step))
    this.#queue = written
    return written
  }

  async #send(entry: Pending, step: Step): Promise<Outcome> {
    // What was said first is written first: behind one that the disk did not take, the others wait for the next try.
    const ahead = this.pending.find((one) => one.key < entry.key && one.state === 'failed')
    if (ahead?.trouble) return this.#keep(entry, 'failed', ahead.trouble, entry.tries)
    const ticket = ++this.#ticket
    try {
      const acked = await api.act(step, entry.id)
      this.pending = this.pending.filter((one) => one.key !== entry.key)
      this.show(acked.view, Math.max(ticket, this.#shown))
      this.tell(acked.went)
      return { saved: acked }
    } catch (error) {
      const trouble = api.asTrouble(error, 'act')
      const tries = entry.tries + 1
      const again = trouble.code === 'fault' ? tries < FAULT_TRIES : !isRefusal(trouble)
      const state = again ? 'failed' : 'refused'
      return this.#keep(entry, state, trouble, tries)
    }
  }

  #keep({ key }: Pending, state: Pending['state'], trouble: Trouble, tries: number): Outcome {
    this.pending = this.pending.map((one) => (one.key === key ? { ...one, state, trouble, tries } : one))
    return { trouble, key }
  }

  /** What the disk did not take is tried again with every poll, in order, with the time it was said. */
  #retry(): void {
    if (this.view && !this.view.saved.writes) return
    const failed = this.pending.filter((entry) => entry.state === 'failed')
    for (const entry of failed) {
      this.pending = this.pending.map((one) => (one.key === entry.key ? { ...one, state: 'writing' } : one))
      const late = this.clock.exact() - entry.atMs > LATE_MS && !entry.step.happened
      const clock = this.view?.clock
      const happened = moment(entry.atMs + (clock?.to_wall_ms ?? 0), clock?.offset_min ?? 0)
      void this.#write(entry, late ? { ...entry.step, happened } : entry.step)
    }
  }

  /** Says something at the dock for a moment. */
  tell(words: string): void {
    if (!words) return
    this.went = words
    clearTimeout(this.#wentTimer)
    this.#wentTimer = setTimeout(() => (this.went = ''), WENT_MS)
  }
}

/** What F12 says again: calls, not facts about people or rigs. */
const REPEATED = new Set(['order', 'readback', 'answer', 'report', 'signal', 'note'])

/** The one operation of this window. */
export const operation = new Operation()
