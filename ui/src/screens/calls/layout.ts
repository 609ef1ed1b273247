// Where things stand on the line. Rows are hung from now upwards, y strictly by time: 13 px apart
// where sides alternate, 26 px on one side, more where a row needs more lines.
import type { Slot } from '../../wire/Slot'
import type { Entry } from './entries'

export const HEAD = 40
export const ROPE_WIDTH = 28
export const ROW = 26
const STEP = ROW / 2
const SECOND_LINE = 20
const BAR = 32
export const SLOT = 48
/** Height of the cut that parts a scrolled-back line from now. */
export const CUT = 40
const SLOT_GAP = 4
/** How many slots are drawn; the strip has the count. */
export const SLOTS = 4

export interface Geometry {
  width: number
  height: number
  /** Middle of the rope. */
  ropeX: number
  /** Left column: its left and its width, right-aligned to the rope. */
  leftX: number
  leftWidth: number
  /** Right column: where times begin, and where the slots do. */
  rightX: number
  rightWidth: number
  slotX: number
  /** Where the rope ends and the load hangs. */
  ropeBottom: number
}

/** The sketch's columns at 880 px; what a wider window adds goes to both sides alike. */
export function geometry(width: number, height: number): Geometry {
  const ropeX = Math.round(404 + Math.max(0, width - 880) * 0.42)
  const rightX = ropeX + 60
  return {
    width,
    height,
    ropeX,
    leftX: 16,
    leftWidth: ropeX - 66,
    rightX,
    rightWidth: width - rightX - 8,
    slotX: ropeX + 56,
    ropeBottom: height - 48,
  }
}

/** Lines a text takes in a column; 1 at least. */
export type Lines = (entry: Entry) => { text: number; second: number }

export interface Hung {
  entry: Entry
  y: number
  lines: { text: number; second: number }
  /** Words of a motion that begins here, or empty. */
  motion: string
}

export interface Floors {
  left: number
  right: number
}

interface Need {
  left: [number, number] | null
  right: [number, number] | null
}

function need(entry: Entry, lines: { text: number; second: number }, motion: string): Need {
  const extra = (lines.text - 1 + lines.second) * SECOND_LINE
  if (entry.side === 'across') {
    const bar: [number, number] = [BAR / 2 + 1, BAR / 2 + lines.second * SECOND_LINE]
    return { left: bar, right: bar }
  }
  const row: [number, number] = [STEP, STEP + extra]
  if (entry.side === 'left') return { left: motion ? [STEP, STEP + extra + SECOND_LINE] : row, right: null }
  return { left: motion ? [STEP, STEP] : null, right: row }
}

/** Hangs entries from the floors upwards until `top` is reached; oldest first. */
export function hang(
  entries: Entry[],
  floors: Floors,
  top: number,
  linesOf: Lines,
  motionOf: (index: number) => string,
): Hung[] {
  const hung: Hung[] = []
  let { left, right } = floors
  let last = Infinity
  for (let i = entries.length - 1; i >= 0; i -= 1) {
    const entry = entries[i]
    if (!entry) break
    const lines = linesOf(entry)
    const motion = motionOf(i)
    const needs = need(entry, lines, motion)
    let y = Math.min(last - STEP, Math.max(left, right) - STEP)
    if (needs.left) y = Math.min(y, left - needs.left[1])
    if (needs.right) y = Math.min(y, right - needs.right[1])
    if (y - STEP < top) break
    if (needs.left) left = y - needs.left[0]
    if (needs.right) right = y - needs.right[0]
    last = y
    hung.unshift({ entry, y, lines, motion })
  }
  return hung
}

export interface Stretch {
  motion: string
  slow: boolean
  top: number
  bottom: number
}

/** The rope between the rows: a new stretch where the motion or its speed changes. */
export function stretches(hung: Hung[], before: Entry | undefined, top: number, bottom: number): Stretch[] {
  const found: Stretch[] = []
  let now: Stretch = { motion: before?.rope ?? 'at_rest', slow: before?.slow ?? false, top, bottom }
  for (const { entry, y } of hung) {
    if (entry.rope === now.motion && entry.slow === now.slow) continue
    found.push({ ...now, bottom: y })
    now = { motion: entry.rope, slow: entry.slow, top: y, bottom }
  }
  found.push(now)
  return found.filter((stretch) => stretch.bottom > stretch.top)
}

/** Where something is done inside the motion (a knot pass, a reset, a change-over), from its order to its end. */
export function phases(hung: Hung[], before: Entry | undefined, top: number, bottom: number): { top: number; bottom: number }[] {
  const found: { top: number; bottom: number }[] = []
  let now = before?.phase ?? null
  let from = top
  const close = (y: number): void => {
    if (now !== null && y > from) found.push({ top: from, bottom: y })
  }
  for (const { entry, y } of hung) {
    if (entry.phase === now) continue
    close(y)
    now = entry.phase
    from = y
  }
  close(bottom)
  return found
}

export interface ClosedLoop {
  id: string
  top: number
  /** Readbacks in order; the last is the end. */
  dots: number[]
  lane: number
}

/** Thin brackets from an order to its last readback; two that overlap take two lanes. */
export function closedLoops(hung: Hung[], top: number): ClosedLoop[] {
  const yOf = new Map(hung.map(({ entry, y }) => [entry.id, y]))
  const answers = new Map<string, number[]>()
  for (const { entry, y } of hung) {
    if (!entry.of || entry.marks.includes('correction')) continue
    answers.set(entry.of, [...(answers.get(entry.of) ?? []), y])
  }
  const loops: ClosedLoop[] = []
  const ends = [-Infinity, -Infinity]
  for (const [id, dots] of answers) {
    const order = hung.find(({ entry }) => entry.id === id)
    if (order && order.entry.side === 'across') continue
    if (order && order.entry.loop_state !== 'closed') continue
    const from = yOf.get(id) ?? top
    const lane = ends.findIndex((end) => end < from)
    const taken = lane === -1 ? 1 : lane
    ends[taken] = dots.at(-1) ?? from
    loops.push({ id, top: from, dots, lane: taken })
  }
  return loops
}

export type Tone = 'waiting' | 'silent' | 'wrong' | 'stop'

/** How a slot stands at `now`: within its limit, past it, wrong, or stop not reported. */
export function toneOf(slot: Slot, nowMs: number): Tone {
  if (slot.state === 'stop') return 'stop'
  if (slot.state === 'wrong') return 'wrong'
  return nowMs - slot.since_ms > slot.limit_s * 1000 ? 'silent' : 'waiting'
}

export interface PlacedSlot {
  slot: Slot
  key: string
  /** 0 is the lowest place. */
  place: number
  top: number
}

export const slotKey = (slot: Slot): string => `${slot.order} ${slot.role}`

export const slotTop = (place: number, height: number): number => height - 56 - place * (SLOT + SLOT_GAP)

/**
 * A slot keeps its place until it is answered; a new one takes the lowest that is free. Who has not
 * reported stopped is always drawn: for that the youngest of the others gives its place up.
 */
export class SlotPlaces {
  #places = new Map<string, number>()

  place(slots: Slot[], height: number): PlacedSlot[] {
    const drawn = chosen(slots, this.#places)
    const standing = new Map<string, number>()
    for (const slot of drawn) {
      const place = this.#places.get(slotKey(slot))
      if (place !== undefined) standing.set(slotKey(slot), place)
    }
    const taken = new Set(standing.values())
    const free = [...Array(SLOTS).keys()].filter((place) => !taken.has(place))
    const coming = drawn.filter((slot) => !standing.has(slotKey(slot)))
    // Those that come together stand in their order, the first above.
    coming.forEach((slot, i) => standing.set(slotKey(slot), free[coming.length - 1 - i] ?? 0))
    this.#places = standing
    return drawn.map((slot) => {
      const place = standing.get(slotKey(slot)) ?? 0
      return { slot, key: slotKey(slot), place, top: slotTop(place, height) }
    })
  }
}

/** The four that are drawn: a stop first, then those that stand already, then the oldest. */
function chosen(slots: Slot[], standing: Map<string, number>): Slot[] {
  const rank = (slot: Slot): number => (slot.state === 'stop' ? 0 : standing.has(slotKey(slot)) ? 1 : 2)
  const inTurn = slots.map((slot, i) => ({ slot, i })).sort((a, b) => rank(a.slot) - rank(b.slot) || a.i - b.i)
  const drawn = new Set(inTurn.slice(0, SLOTS).map(({ slot }) => slotKey(slot)))
  return slots.filter((slot) => drawn.has(slotKey(slot)))
}

export interface OpenLoop {
  order: string
  top: number
  /** Middles of the slots it ends in. */
  ends: number[]
  tone: Tone
  /** Distance from the rope's right side. */
  lane: number
}

const WORST: Tone[] = ['waiting', 'silent', 'wrong', 'stop']

/** A thick line from each open order down to its slots: its length is the silence. */
export function openLoops(placed: PlacedSlot[], hung: Hung[], top: number, nowMs: number): OpenLoop[] {
  const byOrder = new Map<string, PlacedSlot[]>()
  for (const one of placed) byOrder.set(one.slot.order, [...(byOrder.get(one.slot.order) ?? []), one])
  const spacing = byOrder.size > 2 ? 22 / (byOrder.size - 1) : 12
  const yOf = new Map(hung.map(({ entry, y }) => [entry.id, y]))
  const oldestFirst = [...byOrder].sort(([a], [b]) => (yOf.get(a) ?? top) - (yOf.get(b) ?? top))
  return oldestFirst.map(([order, slots], i) => {
    const tones = slots.map(({ slot }) => toneOf(slot, nowMs))
    return {
      order,
      top: yOf.get(order) ?? top,
      ends: slots.map((one) => one.top + SLOT / 2).sort((a, b) => a - b),
      tone: tones.reduce((worst, tone) => (WORST.indexOf(tone) > WORST.indexOf(worst) ? tone : worst)),
      lane: Math.round((byOrder.size > 2 ? 14 : 24) + spacing * i),
    }
  })
}

/** How far from a row a touch still means it. */
const REACH = 48

/** The row a touch at `y` on one side of the rope means. */
export function nearest(hung: Hung[], side: 'left' | 'right', y: number): Entry | null {
  let best: Hung | null = null
  for (const one of hung) {
    if (one.entry.side !== side && one.entry.side !== 'across') continue
    if (!best || Math.abs(one.y - y) < Math.abs(best.y - y)) best = one
  }
  return best && Math.abs(best.y - y) <= REACH ? best.entry : null
}
