import { describe, expect, it } from 'vitest'
import { at, ends, fit, weight } from '../src/screens/rig/fall'

const motion: [number, number, number][] = [
  [0, 0, 1],
  [0.5, 0.4, 0],
  [1, 1, 3],
]

describe('a fall that plays', () => {
  it('is between the two times that are told', () => {
    expect(at(motion, 0)).toEqual({ time: 0, fallen: 0, pull: 1 })
    expect(at(motion, 0.25)).toEqual({ time: 0.25, fallen: 0.2, pull: 0.5 })
    expect(at(motion, 0.75)?.fallen).toBeCloseTo(0.7)
  })

  it('stays where it ended, and where nothing is told there is none', () => {
    expect(at(motion, 9)).toEqual({ time: 1, fallen: 1, pull: 3 })
    expect(at(motion, -1)).toEqual({ time: 0, fallen: 0, pull: 1 })
    expect(at([], 1)).toBeNull()
    expect(ends(motion)).toBe(1)
    expect(ends([])).toBe(0)
  })

  it('draws the rope thicker as it pulls and keeps on the picture', () => {
    expect(weight(3)).toBeGreaterThan(weight(1))
    expect(weight(0)).toBeGreaterThan(0)
    expect(fit(130, 100)).toBe(100)
  })
})
