import { describe, expect, it } from 'vitest'
import { momentAt, moved, nextFlag, stepFrom, upTo } from '../../src/screens/review/replay'
import type { MotionSpan } from '../../src/wire/MotionSpan'
import type { Tape } from '../../src/wire/Tape'

const tape: Tape = {
  from_ms: 0,
  to_ms: 100_000,
  edge_m: 20,
  roles: [
    { what: 'control', person: 'Ada', from_ms: 1000, to_ms: 50_000 },
    { what: 'control', person: 'Ben', from_ms: 50_000, to_ms: null },
  ],
  zones: [{ what: 'on_rope', person: 'Cleo', from_ms: 20_000, to_ms: 60_000 }],
  heights: [[30_000, 5, '5 m'], [40_000, 11, '36 ft']],
  rigs: [{ at_ms: 10_000, rig: 'lower', state: 'lowering' }, { at_ms: 70_000, rig: 'lower', state: 'tied_off' }],
  phases: [{ words: 'knot pass', from_ms: 36_000, to_ms: 48_000 }, { words: 'change-over to raise', from_ms: 80_000, to_ms: null }],
  ropes: [
    { at_ms: 30_000, lines: [{ ropes: 'both ropes', left_m: 48, words: '48 m left', near: false }] },
    { at_ms: 40_000, lines: [{ ropes: 'both ropes', left_m: 42, words: '42 m left', near: false }] },
  ],
  flags: [{ at_ms: 25_000, words: 'one' }, { at_ms: 55_000, words: 'two' }],
  order: [1, 2, 3],
}
const spans: MotionSpan[] = [
  { motion: 'at_rest', slow: false, from_ms: 0, to_ms: 20_000 },
  { motion: 'lowering', slow: true, from_ms: 20_000, to_ms: 35_000 },
  { motion: 'lowering', slow: false, from_ms: 35_000, to_ms: 60_000 },
  { motion: 'landed', slow: false, from_ms: 60_000, to_ms: null },
]

describe('a moment of the replay', () => {
  it('is what stood then: motion, height as called, rig, roles, zones', () => {
    const at = momentAt(tape, spans, 45_000)
    // Slow and plain are one lowering: 20 to 45.
    expect([at.motion, at.slow, at.lasted_s]).toEqual(['lowering', false, 25])
    expect(at.height).toEqual({ metres: 11, words: '36 ft', ago_s: 5 })
    expect(at.rig?.state).toBe('lowering')
    expect(at.roles.map((r) => r.person)).toEqual(['Ada'])
    expect(at.zones).toEqual({ on_rope: ['Cleo'], edge: [], drop: [] })
    expect(at.flag?.words).toBe('one')
    expect(at.ropes.map((line) => line.words)).toEqual(['42 m left'])
    expect(at.phase).toEqual({ words: 'knot pass', lasted_s: 9 })
  })

  it('changes at the moment itself, not after it', () => {
    expect(momentAt(tape, spans, 50_000).roles.map((r) => r.person)).toEqual(['Ben'])
    expect(momentAt(tape, spans, 60_000).zones.on_rope).toEqual([])
    expect(momentAt(tape, spans, 47_999).phase?.words).toBe('knot pass')
    expect(momentAt(tape, spans, 48_000).phase).toBe(null)
    expect(momentAt(tape, spans, 99_000).phase?.words).toBe('change-over to raise')
    expect(momentAt(tape, spans, 59_999).zones.on_rope).toEqual(['Cleo'])
  })

  it('says nothing of what was not called or entered yet', () => {
    const first = momentAt(tape, spans, 0)
    expect([first.height, first.rig, first.flag, first.roles, first.ropes, first.phase]).toEqual([null, null, null, [], [], null])
  })
})

describe('going along', () => {
  it('jumps from flag to flag and round again', () => {
    expect(nextFlag(tape, 0)?.words).toBe('one')
    expect(nextFlag(tape, 25_000)?.words).toBe('two')
    expect(nextFlag(tape, 55_000)?.words).toBe('one')
    expect(nextFlag({ ...tape, flags: [] }, 0)).toBeNull()
  })

  it('steps by entries and ends at either end', () => {
    const times: [number, string][] = [[0, 'left'], [10_000, 'left'], [30_000, 'right']]
    expect(stepFrom(times, 10_000, 1)).toBe(30_000)
    expect(stepFrom(times, 10_000, -1)).toBe(0)
    expect(stepFrom(times, 30_000, 1)).toBeNull()
    expect(stepFrom(times, 0, -1)).toBeNull()
  })

  it('stops at the end', () => {
    expect(moved(tape, 90_000, 5000)).toEqual({ at: 95_000, ended: false })
    expect(moved(tape, 90_000, 20_000)).toEqual({ at: 100_000, ended: true })
  })

  it('finds how many lie before a moment', () => {
    expect([0, 1, 2, 3].map((at) => upTo([1, 2, 2], (n) => n, at))).toEqual([0, 1, 3, 3])
  })
})
