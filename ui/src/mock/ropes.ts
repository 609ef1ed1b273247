import type { RopesView } from '../wire/RopesView'

/** How long the ropes of the invented rig are said to be: 60 m, hardly more than what is out, or not said. */
export type Rope = 'long' | 'short' | 'unsaid'

/** 3 m for knots, 4 m from the edge to the device. */
export function mockRopes(out: number, motion: string, rope: Rope): RopesView {
  const ropes = 'both ropes'
  if (rope === 'unsaid') return { lines: [{ ropes, left_m: null, words: 'rope length not known', near: false }], note: '' }
  const left = (length: number): number => Math.round((length - 3 - 4 - out) * 10) / 10
  const since = motion === 'lowering' ? 'at that call; less by now; ' : motion === 'raising' ? 'at that call; more by now; ' : ''
  const note = `${since}assumed: 3 m for knots, 4 m from the edge to the device`
  if (rope === 'long') return { lines: [{ ropes, left_m: left(60), words: `${left(60)} m left`, near: false }], note }
  const near = out + 9
  const lines = [
    { ropes: 'rope one', left_m: left(60), words: `${left(60)} m left`, near: false },
    { ropes: 'rope two', left_m: left(near), words: `${left(near)} m left`, near: true },
  ]
  return { lines, note }
}
