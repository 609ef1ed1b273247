// What the keys of the calls do on every screen: STOP, the orders, repeat; and the two choices that
// go with an order, to whom and by what.
import { order, stop, type Step } from '../steps'
import type { View } from '../wire/View'
import { channel } from './channel.svelte'
import { freeLine } from './line.svelte'
import { type Operation, type Outcome, operation } from './operation.svelte'
import { place } from './place.svelte'

export const TO = ['both', 'one', 'two', 'all'] as const
export type To = (typeof TO)[number]

/** A second press this soon is the same press: cold keys bounce. */
const BOUNCE_MS = 300

/** Orders that set the load moving; a stop called to all does not widen them. */
const MOVES = /^(lower|down|raise|haul|up|slow)\b/i

const OPERATORS: Record<'one' | 'two', { code: string; role: string }> = {
  one: { code: '1', role: 'rope one operator' },
  two: { code: '2', role: 'rope two operator' },
}
const HAUL = { code: 'h', role: 'haul team' }

const roleOf = (view: View, { code, role }: { code: string; role: string }): string =>
  view.roles.find((known) => known.code === code)?.role ?? role

/** The roles an order is for. A raise is for the haul team too, when there is one. */
export function recipients(view: View, to: To, text: string): string[] {
  if (to === 'all') return ['all']
  const one = roleOf(view, OPERATORS.one)
  const two = roleOf(view, OPERATORS.two)
  if (to !== 'both') return [to === 'one' ? one : two]
  const haul = view.roles.find((known) => known.code === HAUL.code && known.person !== null)
  const raises = view.motion.motion === 'raising' || /^(raise|haul|up)\b/i.test(text)
  return haul && raises ? [one, two, haul.role] : [one, two]
}

export class Calls {
  readonly #operation: Operation = operation
  /** To whom the order keys speak, as chosen. */
  to = $state<To>('both')
  #stoppedAt = -Infinity

  /** A stop is in force: called, and not all have reported stopped. */
  readonly stopping = $derived(
    this.#operation.view?.motion.motion === 'stopping' ||
      this.#operation.pending.some((entry) => entry.side === 'across'),
  )

  stop(): void {
    if (!this.#operation.view) return
    const now = performance.now()
    place.focusLine()
    freeLine.standBack()
    if (now - this.#stoppedAt < BOUNCE_MS) return
    this.#stoppedAt = now
    void this.#operation.record(stop(channel.name))
  }

  order(key: string): Promise<Outcome> | null {
    const view = this.#operation.view
    const found = view?.orders.find((known) => known.key === key)
    if (!view || !found) return null
    return this.#operation.record(order(recipients(view, this.toFor(found.text), found.text), found.text, channel.name))
  }

  /** To whom an order goes now: to all while a stop is in force, but an order of movement to whom it was chosen for before. */
  toFor(text: string): To {
    return this.stopping && !MOVES.test(text) ? 'all' : this.to
  }

  get canRepeat(): boolean {
    return this.#operation.last !== null
  }

  /** Says the last call of this sitting again, as of now. */
  repeat(): Promise<Outcome> | null {
    const last = this.#operation.last
    if (!last) return null
    const again: Step = { ...last }
    delete again.happened
    return this.#operation.record(again)
  }
}

export const calls = new Calls()
