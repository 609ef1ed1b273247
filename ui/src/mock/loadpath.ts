// A load path for the invented rig, drawn with the program's items: enough to try the Rig screen on.
import type { DisplayList } from '../wire/DisplayList'
import type { Ink } from '../wire/Ink'
import type { Item } from '../wire/Item'
import type { PartFinding } from '../wire/PartFinding'
import { marginWords } from '../screens/rig/margins'

const WIDTH = 151
const HEIGHT = 172
const ONE = 62
const TWO = 88

/** Where each part is drawn: label height, side, and its ends. */
const PLACES: Record<string, { y: number; side: 'left' | 'right'; ends: [number, number, number, number] }> = {
  anchor_west: { y: 12, side: 'left', ends: [50, 10, 50, 14] },
  anchor_east: { y: 12, side: 'right', ends: [100, 10, 100, 14] },
  leg_1a: { y: 27, side: 'left', ends: [50, 14, ONE, 44] },
  leg_1b: { y: 40, side: 'right', ends: [100, 14, ONE, 44] },
  leg_2a: { y: 26, side: 'right', ends: [100, 14, TWO, 44] },
  leg_2b: { y: 41, side: 'left', ends: [50, 14, TWO, 44] },
  focal_1: { y: 55, side: 'left', ends: [ONE, 44, ONE, 58] },
  focal_2: { y: 55, side: 'right', ends: [TWO, 44, TWO, 58] },
  device_1: { y: 71, side: 'left', ends: [ONE, 58, ONE, 74] },
  device_2: { y: 71, side: 'right', ends: [TWO, 58, TWO, 74] },
  edge_lip: { y: 93, side: 'right', ends: [40, 96, 110, 96] },
  rope_one: { y: 112, side: 'left', ends: [ONE, 74, ONE, 138] },
  rope_two: { y: 112, side: 'right', ends: [TWO, 74, TWO, 138] },
  ring_1: { y: 136, side: 'left', ends: [ONE, 138, 70, 150] },
  ring_2: { y: 136, side: 'right', ends: [TWO, 138, 80, 150] },
}

const line = (x1: number, y1: number, x2: number, y2: number, ink: Ink, width: number, dash: number[] = []): Item => ({
  item: 'path',
  segs: [
    { seg: 'move', x: x1, y: y1 },
    { seg: 'line', x: x2, y: y2 },
  ],
  fill: null,
  stroke: { ink, width, dash, round: false },
})

const words = (x: number, y: number, text: string, ink: Ink, bold: boolean, side: 'left' | 'right'): Item => ({
  item: 'text',
  x,
  y,
  size: 12,
  face: bold ? 'bold' : 'regular',
  anchor: side === 'left' ? 'start' : 'end',
  ink,
  text,
  turn: 0,
})

function group(part: PartFinding, lost: boolean, was: string): Item[] {
  const place = PLACES[part.id]
  if (!place) return []
  const [x1, y1, x2, y2] = place.ends
  const force = part.force_kN?.high ?? 0
  const x = place.side === 'left' ? 1 : WIDTH - 1
  const idle = force === 0
  const tone: Ink = part.verdict === 'falls_short' ? 'rubric' : part.verdict === 'not_checked' ? 'unknown' : 'ink'
  const under = lost ? 'lost' : idle ? 'no load' : marginWords(part.margin) + was
  const middle = (x1 + x2) / 2
  const cross = [
    line(middle - 3, (y1 + y2) / 2 - 3, middle + 3, (y1 + y2) / 2 + 3, 'rubric', 4),
    line(middle + 3, (y1 + y2) / 2 - 3, middle - 3, (y1 + y2) / 2 + 3, 'rubric', 4),
  ]
  return [
    line(x1, y1, x2, y2, idle || lost ? 'light' : 'ink', idle || lost ? 1.2 : 2 + force * 3, idle || lost ? [1.5, 1] : []),
    line(place.side === 'left' ? 47 : 104, place.y - 1, middle, place.y - 1, 'light', 0.6),
    words(x, place.y, part.label.split(',')[0] ?? part.label, 'ink', false, place.side),
    words(x, place.y + 5, under, lost ? 'rubric' : idle ? 'dark' : tone, !idle, place.side),
    ...(lost ? cross : []),
  ]
}

export function loadPath(parts: PartFinding[], before: PartFinding[] | null, lost: string | undefined): DisplayList {
  const halo: Item[] = lost
    ? parts
        .filter((p) => (p.force_kN?.high ?? 0) > 0 && p.id !== 'edge_lip')
        .flatMap((p) => {
          const ends = PLACES[p.id]?.ends
          return ends ? [line(...ends, 'halo', 20)] : []
        })
    : []
  const old = new Map((before ?? []).map((p) => [p.id, marginWords(p.margin)]))
  const items: Item[] = parts.map((part) => {
    const was = old.get(part.id)
    const changed = was !== undefined && was !== marginWords(part.margin)
    return { item: 'group', id: part.id, label: part.label, items: group(part, part.id === lost, changed ? ` was ${was}` : '') }
  })
  const load: Item[] = [line(55, 156, 95, 156, 'ink', 8), words(1, 168, 'load 250 kg', 'ink', true, 'left')]
  return { width: WIDTH, height: HEIGHT, items: [...halo, ...items, ...load] }
}
