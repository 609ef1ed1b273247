import { render } from '@testing-library/svelte'
import { describe, expect, it, vi } from 'vitest'
import Drawing from '../src/drawing/Drawing.svelte'
import { boxOf, paint, path } from '../src/drawing/paint'
import { MARK_NAMES, MARK_WORDS, markDrawing } from '../src/marks/catalogue'
import Mark from '../src/marks/Mark.svelte'
import { ropeStrokes } from '../src/marks/rope'
import type { DisplayList } from '../src/wire/DisplayList'

const MOTIONS = [
  'at_rest',
  'under_load_test',
  'at_the_edge',
  'lowering',
  'raising',
  'stopping',
  'stopped',
  'tied_off',
  'landed',
]
const SPAN = { x: 390, top: 100, bottom: 300, width: 28 }

describe('the rope', () => {
  it('has a pattern of its own for every motion and speed', () => {
    const drawn = [
      ...MOTIONS.map((motion) => ropeStrokes({ ...SPAN, motion })),
      ropeStrokes({ ...SPAN, motion: 'lowering', slow: true }),
      ropeStrokes({ ...SPAN, motion: 'raising', slow: true }),
    ].map((strokes) => strokes.map(({ d }) => d).join())
    expect(new Set(drawn).size).toBe(drawn.length)
  })

  it('that has no slow pattern is drawn as it is', () => {
    expect(ropeStrokes({ ...SPAN, motion: 'stopped', slow: true })).toEqual(ropeStrokes({ ...SPAN, motion: 'stopped' }))
  })

  it('is red while a stop lasts and ink once it is past; nothing else is red', () => {
    const inks = (motion: string, inForce: boolean): string[] =>
      ropeStrokes({ ...SPAN, motion, inForce }).flatMap(({ fill, stroke }) => [fill, stroke])
    expect(inks('stopping', true)).toContain('var(--red)')
    expect(inks('stopping', false)).not.toContain('var(--red)')
    for (const motion of MOTIONS) if (motion !== 'stopping') expect(inks(motion, true)).not.toContain('var(--red)')
  })

  it('draws nothing where it has no length, and a plain rope for a motion it does not know', () => {
    expect(ropeStrokes({ ...SPAN, bottom: 100, motion: 'lowering' })).toEqual([])
    expect(ropeStrokes({ ...SPAN, motion: 'flying' })).toEqual(ropeStrokes({ ...SPAN, motion: 'at_rest' }))
  })
})

describe('marks', () => {
  it('all have a word to be read aloud', () => {
    for (const name of MARK_NAMES) expect(MARK_WORDS[name], name).toBeTruthy()
  })

  it('are there for every name the screens use', () => {
    for (const name of Object.keys(MARK_WORDS)) expect(markDrawing(name), name).toBeDefined()
  })

  it('are read once: by their word, or by the word beside them', () => {
    const alone = render(Mark, { name: 'wrong' }).container.querySelector('svg')
    expect(alone?.getAttribute('aria-label')).toBe('wrong readback')
    const beside = render(Mark, { name: 'wrong', word: '' }).container.querySelector('svg')
    expect(beside?.getAttribute('aria-hidden')).toBe('true')
  })
})

const LIST: DisplayList = {
  width: 100,
  height: 50,
  items: [
    {
      item: 'path',
      segs: [
        { seg: 'move', x: 1, y: 2 },
        { seg: 'curve', x1: 1, y1: 2, x2: 3, y2: 4, x: 5, y: 6.12345 },
        { seg: 'line', x: 7, y: 8 },
        { seg: 'close' },
      ],
      fill: 'caution',
      stroke: { ink: 'ink', width: 1, dash: [1, 2], round: true },
    },
    {
      item: 'group',
      id: 'knot_1',
      label: 'Focal knot 1, 15:1',
      items: [
        { item: 'text', x: 10, y: 20, size: 8, face: 'bold', anchor: 'end', ink: 'rubric', text: '15:1', turn: 90 },
      ],
    },
  ],
}

describe('a display list', () => {
  it('becomes paths in the tokens of the look', () => {
    const [item] = LIST.items
    if (item?.item !== 'path') throw new Error('the first item is a path')
    expect(path(item.segs)).toBe('M1 2C1 2 3 4 5 6.123L7 8Z')
    expect([paint('caution'), paint('halo'), paint(null)]).toEqual(['var(--amber-ink)', 'var(--halo)', 'none'])
  })

  it('knows what its groups cover, by the end a text hangs on', () => {
    const box = boxOf(LIST.items)
    expect(box?.x).toBe(1)
    const text = boxOf([LIST.items[1] as DisplayList['items'][number]])
    expect((text?.x ?? 0) + (text?.width ?? 0)).toBeCloseTo(10)
    expect(boxOf([])).toBeNull()
  })

  it('can be pressed by part, and names the part', () => {
    const onpick = vi.fn()
    const { getByRole } = render(Drawing, { list: LIST, label: 'Load path', onpick, picked: 'knot_1' })
    const part = getByRole('button', { name: 'Focal knot 1, 15:1' })
    expect(part.getAttribute('aria-pressed')).toBe('true')
    part.dispatchEvent(new MouseEvent('click', { bubbles: true }))
    expect(onpick).toHaveBeenCalledWith('knot_1')
  })

  it('turns its texts about their own point, and dashes in mm', () => {
    const { container } = render(Drawing, { list: LIST, label: 'Load path' })
    expect(container.querySelector('text')?.getAttribute('transform')).toBe('rotate(90 10 20)')
    expect(container.querySelector('path')?.getAttribute('stroke-dasharray')).toBe('1 2')
  })
})
