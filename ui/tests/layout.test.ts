import { describe, expect, it } from 'vitest'
import type { Entry } from '../src/screens/calls/entries'
import {
  closedLoops,
  geometry,
  hang,
  nearest,
  openLoops,
  phases,
  slotTop,
  SlotPlaces,
  stretches,
  toneOf,
} from '../src/screens/calls/layout'
import type { Slot } from '../src/wire/Slot'

const FLOORS = { left: 500, right: 500 }
const ONE_LINE = () => ({ text: 1, second: 0 })
const NO_MOTION = () => ''

const entry = (id: string, side: Entry['side'], more: Partial<Entry> = {}): Entry => ({
  seq: 0,
  id,
  at_ms: 0,
  time: '',
  side,
  kind: 'order',
  who: '',
  text: '',
  was: null,
  marks: [],
  detail: '',
  of: null,
  loop_state: 'none',
  motion: null,
  rope: 'at_rest',
  slow: false,
  phase: null,
  flags: [],
  ...more,
})

const slot = (order: string, role: string, more: Partial<Slot> = {}): Slot => ({
  order,
  text: 'lower',
  role,
  short: role,
  code: '1',
  since_ms: 0,
  limit_s: 10,
  state: 'waiting',
  said: null,
  ...more,
})

describe('rows on the line', () => {
  it.each([
    ['one side: 26 px', ['right', 'right', 'right'], [435, 461, 487]],
    ['alternating: 13 px', ['left', 'right', 'left', 'right'], [448, 461, 474, 487]],
    ['a stop takes both sides', ['right', 'across', 'right'], [428, 458, 487]],
  ] as const)('%s', (_words, sides, ys) => {
    const entries = sides.map((side, i) => entry(String(i), side))
    expect(hang(entries, FLOORS, 40, ONE_LINE, NO_MOTION).map((one) => one.y)).toEqual(ys)
  })

  it('never overlap on a side and never leave their order, whatever their sides and lines', () => {
    const sides = ['left', 'right', 'across'] as const
    for (let seed = 1; seed < 200; seed += 1) {
      let state = seed
      const random = (n: number): number => {
        state = (state * 48271) % 2147483647
        return state % n
      }
      const entries = Array.from({ length: 30 }, (_, i) => entry(String(i), sides[random(3)] ?? 'left'))
      const lines = new Map(entries.map((one) => [one.id, { text: 1 + random(3), second: random(2) }]))
      const floors = { left: 300 + random(200), right: 300 + random(200) }
      const hung = hang(entries, floors, 40, (one) => lines.get(one.id) ?? ONE_LINE(), NO_MOTION)
      const low = (one: (typeof hung)[number]): number => {
        const extra = one.lines.second * 20 + (one.entry.side === 'across' ? 0 : (one.lines.text - 1) * 20)
        return one.y + (one.entry.side === 'across' ? 16 : 13) + extra
      }
      hung.forEach((one, i) => {
        const later = hung[i + 1]
        if (later) expect(later.y - one.y).toBeGreaterThanOrEqual(13)
        for (const side of ['left', 'right'] as const) {
          const on = (other: (typeof hung)[number]): boolean =>
            other.entry.side === side || other.entry.side === 'across'
          if (!on(one)) continue
          const next = hung.slice(i + 1).find(on)
          const floor = next ? next.y - (next.entry.side === 'across' ? 16 : 13) : floors[side]
          expect(low(one)).toBeLessThanOrEqual(floor)
        }
      })
    }
  })

  it('leave the rope a new stretch where motion or speed changes', () => {
    const entries = [
      entry('a', 'left', { rope: 'lowering', slow: true }),
      entry('b', 'right', { rope: 'lowering', slow: true }),
      entry('c', 'left', { rope: 'lowering' }),
    ]
    const hung = hang(entries, FLOORS, 40, ONE_LINE, NO_MOTION)
    const rope = stretches(hung, undefined, 40, 540)
    expect(rope.map((one) => [one.motion, one.slow])).toEqual([
      ['at_rest', false],
      ['lowering', true],
      ['lowering', false],
    ])
    expect(rope.map((one) => one.top)).toEqual([40, hung[0]?.y, hung[2]?.y])
    expect(rope.at(-1)?.bottom).toBe(540)
  })
})

describe('what is done inside the motion', () => {
  const at = (id: string, phase: string | null) => entry(id, 'right', { phase })
  const rails = (list: Entry[], before?: Entry) => phases(hang(list, FLOORS, 40, ONE_LINE, NO_MOTION), before, 40, 540)
  const list = [at('a', null), at('b', 'knot pass'), at('c', 'knot pass'), at('d', null)]
  const ys = hang(list, FLOORS, 40, ONE_LINE, NO_MOTION).map((one) => one.y)

  it('lies beside the rope from its order to its end', () => {
    expect(rails(list)).toEqual([{ top: ys[1], bottom: ys[3] }])
  })

  it('goes on to now while it lasts, and comes from above where it began earlier', () => {
    expect(rails(list.slice(0, 3)).map((one) => one.bottom)).toEqual([540])
    expect(rails(list.slice(2), at('b', 'knot pass')).map((one) => one.top)).toEqual([40])
    expect(rails([], at('b', 'knot pass'))).toEqual([{ top: 40, bottom: 540 }])
    expect(rails([at('a', null)], at('b', null))).toEqual([])
  })

  it('parts where another takes its place', () => {
    expect(rails([at('a', 'knot pass'), at('b', 'reset')])).toHaveLength(2)
  })
})

describe('a touch', () => {
  const hung = hang(
    [entry('a', 'left'), entry('b', 'right'), entry('c', 'across')],
    FLOORS,
    40,
    ONE_LINE,
    NO_MOTION,
  )
  const [a, b, c] = hung.map((one) => one.y) as [number, number, number]

  it.each([
    ['the row itself', 'left', a, 'a'],
    ['the nearest on its side', 'right', b - 20, 'b'],
    ['a stop from both sides', 'left', c + 5, 'c'],
    ['nothing further than 48 px', 'right', c + 49, undefined],
  ] as const)('takes %s', (_words, side, y, id) => {
    expect(nearest(hung, side, y)?.id).toBe(id)
  })
})

describe('loops', () => {
  it('close at the last readback, and only when nobody is silent', () => {
    const entries = [
      entry('o', 'left', { loop_state: 'closed' }),
      entry('a', 'right', { of: 'o' }),
      entry('b', 'right', { of: 'o' }),
      entry('p', 'left', { loop_state: 'open' }),
      entry('c', 'right', { of: 'p' }),
    ]
    const hung = hang(entries, FLOORS, 40, ONE_LINE, NO_MOTION)
    const yOf = (id: string): number | undefined => hung.find((one) => one.entry.id === id)?.y
    expect(closedLoops(hung, 40)).toEqual([{ id: 'o', top: yOf('o'), dots: [yOf('a'), yOf('b')], lane: 0 }])
  })

  it('of an order above the window come from its top', () => {
    const hung = hang([entry('a', 'right', { of: 'gone' })], FLOORS, 40, ONE_LINE, NO_MOTION)
    expect(closedLoops(hung, 40)[0]?.top).toBe(40)
  })

  it('that are open end in their slots, one line for an order, in the worst tone', () => {
    const places = new SlotPlaces()
    const placed = places.place([slot('o', 'one'), slot('o', 'two', { state: 'wrong' })], 588)
    const loops = openLoops(placed, [], 40, 1000)
    expect(loops).toHaveLength(1)
    expect(loops[0]).toMatchObject({ tone: 'wrong', top: 40, lane: 24 })
    expect(loops[0]?.ends).toHaveLength(2)
  })
})

describe('slots', () => {
  it.each([
    ['waiting', slot('o', 'a'), 5_000, 'waiting'],
    ['waiting', slot('o', 'a'), 10_000, 'waiting'],
    ['waiting', slot('o', 'a'), 10_001, 'silent'],
    ['wrong', slot('o', 'a', { state: 'wrong' }), 0, 'wrong'],
    ['stop', slot('o', 'a', { state: 'stop' }), 0, 'stop'],
  ])('%s at %#', (_state, one, now, tone) => {
    expect(toneOf(one, now)).toBe(tone)
  })

  it('keep their place until they are answered', () => {
    const places = new SlotPlaces()
    const both = places.place([slot('o', 'one'), slot('o', 'two')], 588)
    expect(both.map((one) => [one.slot.role, one.place])).toEqual([
      ['one', 1],
      ['two', 0],
    ])
    const third = places.place([slot('o', 'one'), slot('o', 'two'), slot('p', 'edge')], 588)
    expect(third.map((one) => one.place)).toEqual([1, 0, 2])
    const answered = places.place([slot('o', 'one'), slot('p', 'edge')], 588)
    expect(answered.map((one) => one.place)).toEqual([1, 2])
    const next = places.place([slot('o', 'one'), slot('p', 'edge'), slot('q', 'litter')], 588)
    expect(next.map((one) => one.place)).toEqual([1, 2, 0])
  })

  it('are four at most, the oldest first', () => {
    const many = ['a', 'b', 'c', 'd', 'e', 'f'].map((role) => slot('o', role))
    const placed = new SlotPlaces().place(many, 588)
    expect(placed.map((one) => one.slot.role)).toEqual(['a', 'b', 'c', 'd'])
    expect(new Set(placed.map((one) => one.top)).size).toBe(4)
  })

  it('of a stop are always drawn; the youngest of the others give their place up', () => {
    const places = new SlotPlaces()
    const orders = ['a', 'b', 'c', 'd', 'e'].map((role) => slot('o', role))
    places.place(orders, 588)
    const stops = ['one', 'two'].map((role) => slot('s', role, { state: 'stop' }))
    const placed = places.place([...orders, ...stops], 588)
    expect(placed.map((one) => [one.slot.role, one.place])).toEqual([
      ['a', 3],
      ['b', 2],
      ['one', 1],
      ['two', 0],
    ])
  })

  it('stand where the sketch has them', () => {
    expect([slotTop(0, 588), slotTop(1, 588)]).toEqual([532, 480])
    expect(geometry(880, 588)).toMatchObject({ ropeX: 404, rightX: 464, slotX: 460, leftWidth: 338, ropeBottom: 540 })
  })
})
