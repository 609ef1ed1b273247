import { describe, expect, it } from 'vitest'
import { clockWords, delayWords, place, placedMarks, shortened, spread, stretches, ticks } from '../../src/screens/review/timeline'

const MIN = 60_000

describe('overview scale', () => {
  const scale = { from: 0, to: 60 * MIN, height: 600 }
  it('is linear in time and stays inside', () => {
    expect(place(scale, 30 * MIN)).toBe(300)
    expect(place(scale, -MIN)).toBe(0)
    expect(place(scale, 90 * MIN)).toBe(600)
  })
  it('labels round local minutes with room between them', () => {
    expect(ticks(scale, 0, 60)).toEqual([0, 10, 20, 30, 40, 50, 60].map((m) => m * MIN))
    // Half-hour zones: a round local ten is not a round UTC ten.
    expect(ticks({ from: 3 * MIN, to: 33 * MIN, height: 300 }, 345, 90).map((t) => (t / MIN + 345) % 10)).toEqual([0, 0, 0])
  })
  it('runs an open stretch to the end and leaves out empty ones', () => {
    const spans = [
      { motion: 'at_rest', slow: false, from_ms: 0, to_ms: 30 * MIN },
      { motion: 'stopping', slow: false, from_ms: 30 * MIN, to_ms: 30 * MIN },
      { motion: 'lowering', slow: true, from_ms: 30 * MIN, to_ms: null },
    ]
    expect(stretches(spans, scale)).toEqual([
      { motion: 'at_rest', slow: false, top: 0, bottom: 300 },
      { motion: 'lowering', slow: true, top: 300, bottom: 600 },
    ])
  })
})

describe('spread', () => {
  it('leaves labels alone that have room', () => expect(spread([10, 50, 90], 26, 100)).toEqual([10, 50, 90]))
  it('moves two that clash evenly apart', () => expect(spread([50, 50], 20, 100)).toEqual([40, 60]))
  it('keeps order, gap and bounds for any clump', () => {
    const wanted = [3, 4, 5, 200, 300, 301, 302, 303, 599, 600]
    const got = spread(wanted, 26, 600)
    got.forEach((y, i) => {
      expect(y).toBeGreaterThanOrEqual(0)
      expect(y).toBeLessThanOrEqual(600)
      if (i > 0) expect(y - (got[i - 1] ?? 0)).toBeGreaterThanOrEqual(26 - 1e-6)
    })
    expect(got[3]).toBe(200)
  })
})

describe('more marks than fit', () => {
  it('leave the foot free for how many more there are', () => {
    const marks = Array.from({ length: 40 }, (_, i) => ({ at_ms: 900 + i, words: `mark ${i}`, finding: i + 1 }))
    const got = placedMarks(marks, { from: 0, to: 1000, height: 260 }, 26)
    expect(got.more).toBe(31)
    expect(got.marks.at(-1)?.y).toBeLessThanOrEqual(260 - 16)
    const few = placedMarks(marks.slice(0, 3), { from: 0, to: 930, height: 260 }, 26)
    expect([few.more, Math.round(few.marks.at(-1)?.y ?? 0)]).toEqual([0, 260])
  })
})

describe('words of time', () => {
  it.each([
    [4, '4 s'],
    [59.4, '59 s'],
    [72, '1:12'],
  ])('delay %s', (s, words) => expect(delayWords(s)).toBe(words))
  it.each([
    [1132, '18:52'],
    [3723, '1:02:03'],
    [5, '0:05'],
  ])('clock %s', (s, words) => expect(clockWords(s)).toBe(words))
})

describe('findings beside the rope', () => {
  const finding = (mark: string, detail: string) => ({ departs: true, words: 'the load was ordered to move with no tailer', detail, mark, entries: [1], at_ms: 0, id: 'a:1', rule: '', source: '', sure: '', by: null, said: [], set_aside: false })
  it.each([
    ['vacant', 'role vacant', 'vacant'],
    ['departs', 'par mismatch', 'par mismatch'],
    ['departs', '', 'the load was ordered to move with no tailer'],
  ])('marked %s, “%s”: %s', (mark, detail, words) => {
    const marks = [{ at_ms: 0, words: 'long', finding: 1 }, { at_ms: 1, words: 'reached', finding: null }]
    expect(shortened(marks, [finding(mark, detail)]).map((m) => m.words)).toEqual([words, 'reached'])
  })
})
