import type { RigDrawing } from '../../wire/RigDrawing'

/** So long a part is chosen before its loss is asked for, ms: whoever walks along the parts asks for none of them. */
const RESTS = 120

/**
 * The first figures of a loss, asked for while its part is only chosen, so that the key that loses it finds them there. They are of one
 * moment of the operation and serve no other.
 */
export class Ahead {
  #moment = ''
  #answer: Promise<RigDrawing | null> | null = null
  #waits: ReturnType<typeof setTimeout> | undefined

  look(moment: string, ask: () => Promise<RigDrawing>): void {
    if (moment === this.#moment) return
    this.drop()
    this.#moment = moment
    this.#waits = setTimeout(() => {
      // What goes wrong is told when the part is lost: it is asked for anew then.
      this.#answer = ask().catch(() => null)
    }, RESTS)
  }

  /** What was asked for at this very moment; `null`: nothing was. */
  take(moment: string): Promise<RigDrawing | null> | null {
    return moment === this.#moment ? this.#answer : null
  }

  drop(): void {
    clearTimeout(this.#waits)
    this.#moment = ''
    this.#answer = null
  }
}

/** When what stands on the screen now is painted. */
export const painted = (): Promise<void> => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))
