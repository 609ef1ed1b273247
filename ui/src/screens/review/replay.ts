import type { RopeLine } from '../../wire/RopeLine'
import type { MotionSpan } from '../../wire/MotionSpan'
import type { Tape } from '../../wire/Tape'
import type { TapeFlag } from '../../wire/TapeFlag'
import type { TapeHeld } from '../../wire/TapeHeld'
import type { TapeRig } from '../../wire/TapeRig'

/** How many times faster than it happened. */
export const SPEEDS = [1, 2, 5, 10, 20, 60] as const

/** What stood at a moment. */
export interface Moment {
  motion: string
  slow: boolean
  /** How long the motion had lasted, s. */
  lasted_s: number
  /** The last called height: metres out, the same in words in the units asked for, and how long ago in s. */
  height: { metres: number; words: string; ago_s: number } | null
  /** How much rope was left at that call. */
  ropes: RopeLine[]
  /** What was done inside the motion, and for how long it had lasted in s. */
  phase: { words: string; lasted_s: number } | null
  rig: TapeRig | null
  roles: TapeHeld[]
  zones: Record<'on_rope' | 'edge' | 'drop', string[]>
  /** The last flag up to then. */
  flag: TapeFlag | null
}

/** How many of a list that is sorted by time lie at `at` or before it. */
export function upTo<T>(list: readonly T[], time: (one: T) => number, at: number): number {
  let low = 0
  let high = list.length
  while (low < high) {
    const middle = (low + high) >> 1
    const one = list[middle]
    if (one !== undefined && time(one) <= at) low = middle + 1
    else high = middle
  }
  return low
}

const stands = (held: TapeHeld, at: number): boolean => held.from_ms <= at && (held.to_ms === null || held.to_ms > at)

export function momentAt(tape: Tape, spans: readonly MotionSpan[], at: number): Moment {
  const index = upTo(spans, (s) => s.from_ms, at) - 1
  const span = spans[index]
  let since = span?.from_ms ?? tape.from_ms
  // The same motion at another speed goes on.
  for (let i = index - 1; i >= 0 && spans[i]?.motion === span?.motion; i -= 1) since = spans[i]?.from_ms ?? since
  const called = tape.heights[upTo(tape.heights, (h) => h[0], at) - 1]
  const phase = tape.phases[upTo(tape.phases, (p) => p.from_ms, at) - 1]
  const zones: Moment['zones'] = { on_rope: [], edge: [], drop: [] }
  for (const held of tape.zones) {
    if (stands(held, at)) zones[held.what as keyof typeof zones]?.push(held.person)
  }
  return {
    motion: span?.motion ?? 'at_rest',
    slow: span?.slow ?? false,
    lasted_s: Math.max(0, at - since) / 1000,
    height: called ? { metres: called[1], words: called[2], ago_s: (at - called[0]) / 1000 } : null,
    ropes: tape.ropes[upTo(tape.ropes, (r) => r.at_ms, at) - 1]?.lines ?? [],
    phase: phase && (phase.to_ms === null || phase.to_ms > at) ? { words: phase.words, lasted_s: (at - phase.from_ms) / 1000 } : null,
    rig: tape.rigs[upTo(tape.rigs, (r) => r.at_ms, at) - 1] ?? null,
    roles: tape.roles.filter((held) => stands(held, at)),
    zones,
    flag: tape.flags[upTo(tape.flags, (f) => f.at_ms, at) - 1] ?? null,
  }
}

/** The next flag after a moment, or the first one again. */
export function nextFlag(tape: Tape, at: number): TapeFlag | null {
  return tape.flags[upTo(tape.flags, (f) => f.at_ms, at)] ?? tape.flags[0] ?? null
}

/** The time of the entry before or after a moment; `null` past either end. */
export function stepFrom(times: readonly (readonly [number, string])[], at: number, by: 1 | -1): number | null {
  const before = by === 1 ? upTo(times, (t) => t[0], at) : upTo(times, (t) => t[0], at - 1) - 1
  return times[before]?.[0] ?? null
}

/** A moment on, held within the tape; whether it came to the end. */
export function moved(tape: Tape, at: number, by_ms: number): { at: number; ended: boolean } {
  const next = Math.min(tape.to_ms, Math.max(tape.from_ms, at + by_ms))
  return { at: next, ended: next >= tape.to_ms }
}
