// Leaving with entries that no disk has yet: asked first, and tried once more when the system ends the program.
import * as api from '../api'
import { type FreeLine, freeLine } from './line.svelte'
import type { Operation } from './operation.svelte'
import { operation } from './operation.svelte'

export class Leaving {
  /** What the scribe wants to leave, while the question stands. */
  asking = $state<null | 'window' | 'file'>(null)
  readonly #operation: Operation
  readonly #line: FreeLine
  #leaveFile: () => void = () => {}

  constructor(of: Operation, line: FreeLine) {
    this.#operation = of
    this.#line = line
  }

  get unsaved(): number {
    return this.#operation.pending.length + this.#line.inHand.length
  }

  /**
   * The window is to be closed: at once when all is saved, else the question stands until it is answered. The program may
   * have missed what it was told before, so that it hears it again.
   */
  window(): void {
    if (this.unsaved === 0) void this.#close()
    else {
      this.asking = 'window'
      void this.tell()
    }
  }

  /** Another operation is to be opened: `leave` puts this one away. */
  file(leave: () => void): void {
    this.#leaveFile = leave
    if (this.unsaved === 0) leave()
    else this.asking = 'file'
  }

  stay(): void {
    this.asking = null
  }

  /** What is not saved is lost; the scribe said so. */
  go(): void {
    const what = this.asking
    this.asking = null
    if (what === 'window') void this.#close()
    else if (what === 'file') this.#leaveFile()
  }

  /** All was saved while the question stood: it is answered by that. */
  settled(): void {
    if (this.asking !== null && this.unsaved === 0) this.go()
  }

  /** The program hears how many entries the window holds. */
  async tell(): Promise<void> {
    try {
      await api.unsaved(this.unsaved, this.asking === 'window')
    } catch {
      // A program that does not answer is said in the strip; it hears the next change.
    }
  }

  async #close(): Promise<void> {
    try {
      await api.leave()
    } catch {
      // The window stays, and the key that closes it can be pressed again.
    }
  }

  /** Listens to the program until the answer is called. */
  listen(): () => void {
    const asked = (): void => this.window()
    const lastTry = (): void => this.#operation.tryAgain()
    globalThis.addEventListener('ledgebook-close', asked)
    globalThis.addEventListener('ledgebook-last-try', lastTry)
    return () => {
      globalThis.removeEventListener('ledgebook-close', asked)
      globalThis.removeEventListener('ledgebook-last-try', lastTry)
    }
  }
}

export const leaving = new Leaving(operation, freeLine)
