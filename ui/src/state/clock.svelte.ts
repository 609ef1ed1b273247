// One clock for every counter on the screen: all of them step together, once a second.

const NO_TIME = 0

export class Clock {
  /** The operation's time in ms since the epoch, in whole steps of a second. */
  now = $state(NO_TIME)
  #lead = 0
  #timer: ReturnType<typeof setTimeout> | undefined
  readonly #wall: () => number

  constructor(wall: () => number = () => Date.now()) {
    this.#wall = wall
  }

  /** The program says what time it is; the screen follows it and not its own clock. */
  set(nowMs: number): void {
    this.#lead = nowMs - this.#wall()
    this.#step()
  }

  /** The time now, to the millisecond. */
  exact(): number {
    return this.#wall() + this.#lead
  }

  /** Steps until `stop`; calls `each` after every step. */
  run(each: () => void): () => void {
    const next = (): void => {
      this.#step()
      each()
      this.#timer = setTimeout(next, 1000 - (((this.exact() % 1000) + 1000) % 1000))
    }
    this.#timer = setTimeout(next, 0)
    return () => clearTimeout(this.#timer)
  }

  #step(): void {
    this.now = Math.floor(this.exact() / 1000) * 1000
  }
}
