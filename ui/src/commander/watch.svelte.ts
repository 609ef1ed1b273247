// What the commander's window was last told, how long ago, and why it may be behind. It asks and never writes.
import * as api from '../api'
import { Clock } from '../state/clock.svelte'
import type { Told } from '../wire/Told'
import { lasted } from '../words'

/** Not heard for so long, the window says so and its counters stand still. */
const SILENT_MS = 3000
/** Entries that the disk has not taken for so long are said to be missing here. */
const UNSAVED_MS = 3000
/** The scribe's window asks once a second; hidden behind others, a web view may ask less often. */
const SCRIBE_SILENT_MS = 30_000

/** Why what is shown may not be what is so. */
export interface Behind {
  tone: 'red' | 'amber'
  words: string
}

export class Watch {
  told = $state.raw<Told | null>(null)
  readonly clock: Clock
  /** Since the last answer (or since the window opened), ms, in steps of the clock. */
  silentMs = $state(0)
  /** Since when the scribe's window holds entries that are not on the disk; null: it holds none. */
  #unsavedSince = $state<number | null>(null)
  #heard: number
  #asking = false
  readonly #time: () => number

  constructor(clock: Clock = new Clock(), time: () => number = () => performance.now()) {
    this.clock = clock
    this.#time = time
    this.#heard = time()
  }

  readonly silent = $derived(this.silentMs >= SILENT_MS)

  /** The operation's time for counters: it stands still while nothing is heard, and at the closing. */
  readonly now = $derived.by((): number => {
    const view = this.told?.operation
    if (!view) return 0
    const now = this.silent ? view.now_ms : Math.max(this.clock.now, view.now_ms - 1000)
    return view.closed_ms ?? now
  })

  readonly behind = $derived.by((): Behind | null => {
    if (this.silent) {
      const ago = lasted(this.silentMs)
      return { tone: 'red', words: this.told ? `Last heard ${ago} ago: all of this is from then` : `Nothing heard for ${ago}` }
    }
    if (!this.told?.operation) return null
    if (this.told.operation.trouble) return { tone: 'red', words: 'The record cannot be written: what is said now may be missing' }
    const unsaved = this.told.unsaved
    if (unsaved > 0 && this.#unsavedSince !== null && this.#heard - this.#unsavedSince >= UNSAVED_MS) {
      return { tone: 'red', words: `${unsaved === 1 ? '1 entry is' : `${unsaved} entries are`} not saved, and not in here` }
    }
    const scribe = this.told.scribe_silent_ms
    if (scribe >= SCRIBE_SILENT_MS) return { tone: 'amber', words: `The scribe’s window has been silent for ${lasted(scribe)}` }
    return null
  })

  /** Asks once a second until the answer is called. */
  run(): () => void {
    return this.clock.run(() => void this.ask())
  }

  async ask(): Promise<void> {
    this.silentMs = this.#time() - this.#heard
    if (this.#asking) return
    this.#asking = true
    try {
      this.#hear(await api.told())
    } catch {
      // That nothing was heard is counted and shown; it is asked again.
    }
    this.#asking = false
  }

  #hear(told: Told): void {
    this.#heard = this.#time()
    this.silentMs = 0
    if (told.unsaved === 0) this.#unsavedSince = null
    else this.#unsavedSince ??= this.#heard
    this.told = told
    if (told.operation) this.clock.set(told.operation.now_ms)
  }
}
