// The rope's pattern is the motion: told by pattern and outline, never by colour alone. The patterns
// are the drawings' own; here one repeat of them is laid down a stretch of rope on the screen.
import { PT_MM } from '../drawing/paint'
import type { DisplayList } from '../wire/DisplayList'
import type { Ink } from '../wire/Ink'
import type { Seg } from '../wire/Seg'
import { patternTile } from './catalogue'

export interface Stroke {
  d: string
  fill: string
  stroke: string
  width: number
}

export interface RopeSpan {
  motion: string
  slow?: boolean
  /** Left side, top and bottom, width of the body, in px. */
  x: number
  top: number
  bottom: number
  width: number
  /** Stopping, and it still lasts: red. Once past, ink. */
  inForce?: boolean
}

/** Breadth of the rope in a tile and what stands out of it at each side, mm. */
const BODY_MM = 5
const PROUD_MM = 0.6

const n = (value: number): number => Math.round(value * 100) / 100

function paintOf(ink: Ink | undefined, inForce: boolean): string {
  if (!ink) return 'none'
  if (ink === 'sheet') return 'var(--rope)'
  if (ink === 'dark' || ink === 'light') return 'var(--strand)'
  return ink === 'rubric' && inForce ? 'var(--red)' : 'var(--ink)'
}

const ends = (segs: Seg[]): { x: number; y: number }[] => segs.flatMap((seg) => (seg.seg === 'close' ? [] : [seg]))

/** A lane or a side that is the same all along: drawn once over the stretch. */
const isLane = (segs: Seg[], length: number): boolean =>
  segs.every((seg) => seg.seg !== 'curve') && ends(segs).every(({ y }) => y === 0 || y === length)

/** Runs through the whole repeat, so that its repeats must join without a seam. */
const runsThrough = (segs: Seg[], length: number): boolean => {
  const ys = ends(segs).map(({ y }) => y)
  return Math.min(...ys) <= 0 && Math.max(...ys) >= length
}

function trace(segs: Seg[], x: (mm: number) => number, y: (mm: number) => number): string {
  let d = ''
  for (const seg of segs) {
    if (seg.seg === 'close') d += 'Z'
    else if (seg.seg === 'curve') {
      d += `C${n(x(seg.x1))} ${n(y(seg.y1))} ${n(x(seg.x2))} ${n(y(seg.y2))} ${n(x(seg.x))} ${n(y(seg.y))}`
    } else d += `${seg.seg === 'move' ? 'M' : 'L'}${n(x(seg.x))} ${n(y(seg.y))}`
  }
  return d
}

/** What paints a stretch of rope; nothing where it has no length. */
export function ropeStrokes({ motion, slow = false, x, top, bottom, width, inForce = false }: RopeSpan): Stroke[] {
  if (bottom <= top) return []
  const tile: DisplayList = patternTile(motion, slow)
  const scale = width / BODY_MM
  const toX = (mm: number): number => x + (mm - PROUD_MM) * scale
  const repeats = Math.ceil((bottom - top) / (tile.height * scale))
  return tile.items.flatMap((item): Stroke[] => {
    if (item.item !== 'path') return []
    const fill = paintOf(item.fill ?? undefined, inForce)
    const pen = item.stroke ? item.stroke.width * PT_MM * scale : 0
    const stroke = paintOf(item.stroke?.ink, inForce)
    if (isLane(item.segs, tile.height)) {
      const d = trace(item.segs, toX, (mm) => (mm === 0 ? top : bottom))
      // The sides stay as fine as the other lines of the screen, whatever the rope's width.
      return [{ d, fill, stroke, width: Math.min(pen, 2.5) }]
    }
    let d = ''
    for (let i = 0; i < repeats; i += 1) {
      const from = top + i * tile.height * scale
      d += trace(item.segs, toX, (mm) => from + mm * scale)
    }
    const joined = stroke === 'none' && runsThrough(item.segs, tile.height)
    return [{ d, fill, stroke: joined ? fill : stroke, width: joined ? 0.7 : pen }]
  })
}
