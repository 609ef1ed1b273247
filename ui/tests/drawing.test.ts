import { describe, expect, it, vi } from 'vitest'
import { larger } from '../src/drawing/fit'
import { labelsOf, widthOf } from '../src/drawing/paint'
import type { DisplayList } from '../src/wire/DisplayList'
import type { Item } from '../src/wire/Item'

const words = (x: number, y: number, text: string): Item => ({
  item: 'text',
  x,
  y,
  size: 12,
  face: 'regular',
  anchor: 'start',
  ink: 'ink',
  text,
  turn: 0,
})

describe('labels of a part', () => {
  it('are one box for words that stand together, and one more for a second label far off', () => {
    const got = labelsOf([words(0, 10, 'tailer'), words(0, 15, 'Jo Marsh'), words(150, 12, 'tailer')])
    expect(got).toHaveLength(2)
    expect(got[0]?.height).toBeGreaterThan(8)
  })
  it('is all of a part that has no words', () => {
    const line: Item = {
      item: 'path',
      segs: [
        { seg: 'move', x: 1, y: 2 },
        { seg: 'line', x: 4, y: 8 },
      ],
      fill: null,
      stroke: null,
    }
    expect(labelsOf([line])).toEqual([{ x: 1, y: 2, width: 3, height: 6 }])
  })
})

describe('the sheet for a room', () => {
  const sheet = (width: number, height: number): DisplayList => ({ width, height, items: [] })
  const [high, wide] = [sheet(204, 205), sheet(264, 170)]
  it.each([
    [548, 600, high],
    [850, 490, wide],
    [1404, 910, wide],
    [0, 0, high],
  ])('is the one whose words are larger: %d by %d', (w, h, expected) => expect(larger(high, wide, w, h)).toBe(expected))
  it('is the only one there is', () => expect(larger(high, null, 1404, 910)).toBe(high))
})

describe('the width of a line', () => {
  it('is as its font states it, once the font is there', () => {
    const there = vi.fn(() => false)
    const measureText = vi.fn((text: string) => ({ width: 100 * text.length }))
    vi.stubGlobal('CanvasRenderingContext2D', class {})
    vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue({ measureText } as never)
    Object.defineProperty(document, 'fonts', { configurable: true, value: { check: there } })
    // Another font stands in: nothing is measured, and the line stays as it comes.
    expect(widthOf('anchor', 'bold', 12)).toBeUndefined()
    expect(measureText).not.toHaveBeenCalled()
    there.mockReturnValue(true)
    // Half of its size a letter: six letters of 12 pt.
    expect(widthOf('anchor', 'bold', 12)).toBeCloseTo((6 * 0.5 * 12 * 25.4) / 72, 9)
    expect(widthOf('anchor', 'bold', 6)).toBeCloseTo((6 * 0.5 * 6 * 25.4) / 72, 9)
    expect(measureText).toHaveBeenCalledTimes(1)
    vi.unstubAllGlobals()
    vi.restoreAllMocks()
    Reflect.deleteProperty(document, 'fonts')
  })
})
