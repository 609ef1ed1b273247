// A fall as it plays: where the load is at a time, and how thick the rope that catches it is drawn.

/** s since the loss, m fallen, kN on the load: as the engine tells it. */
export type Motion = readonly (readonly [number, number, number])[]

export interface Moment {
  time: number
  fallen: number
  pull: number
}

/** When it stands, s. */
export function ends(motion: Motion): number {
  return motion.at(-1)?.[0] ?? 0
}

/** Between the two told times nearest to it; before the first and after the last it stays. */
export function at(motion: Motion, time: number): Moment | null {
  const first = motion[0]
  const last = motion.at(-1)
  if (first === undefined || last === undefined) return null
  const next = motion.findIndex((point) => point[0] >= time)
  const after = next === -1 ? last : (motion[next] ?? last)
  const before = motion[Math.max(0, next - 1)] ?? first
  const from = next <= 0 ? after : before
  const wide = after[0] - from[0]
  const part = wide > 0 ? Math.min(1, Math.max(0, (time - from[0]) / wide)) : 0
  const between = (n: 0 | 1 | 2): number => from[n] + (after[n] - from[n]) * part
  return { time: between(0), fallen: between(1), pull: between(2) }
}

/** mm: a slack rope is a hair, each kN makes it thicker. */
export function weight(pull: number): number {
  return 0.4 + 0.5 * Math.max(0, pull)
}

/** Kept on the picture. */
export function fit(y: number, height: number): number {
  return Math.min(y, height)
}
