import type { Face } from '../wire/Face'
import type { Ink } from '../wire/Ink'
import type { Item } from '../wire/Item'
import type { Seg } from '../wire/Seg'

/** A point in millimetres. */
export const PT_MM = 25.4 / 72

const INKS: Record<Ink, string> = {
  ink: 'var(--ink)',
  sheet: 'var(--sheet)',
  dark: 'var(--ink2)',
  light: 'var(--edge)',
  rubric: 'var(--red)',
  unknown: 'var(--violet)',
  caution: 'var(--amber-ink)',
  halo: 'var(--halo)',
}

/** The token an ink is painted with; nothing is painted where there is none. */
export const paint = (ink: Ink | null | undefined): string => (ink ? INKS[ink] : 'none')

const FONTS: Record<Face, { family: string; weight: number }> = {
  regular: { family: 'Drawing, sans-serif', weight: 400 },
  bold: { family: 'Drawing, sans-serif', weight: 700 },
  mono: { family: "'Drawing Mono', monospace", weight: 400 },
}

export const font = (face: Face): { family: string; weight: number } => FONTS[face]

const n = (value: number): number => Math.round(value * 1000) / 1000

export function path(segs: Seg[]): string {
  let d = ''
  for (const seg of segs) {
    if (seg.seg === 'move') d += `M${n(seg.x)} ${n(seg.y)}`
    else if (seg.seg === 'line') d += `L${n(seg.x)} ${n(seg.y)}`
    else if (seg.seg === 'curve') {
      d += `C${n(seg.x1)} ${n(seg.y1)} ${n(seg.x2)} ${n(seg.y2)} ${n(seg.x)} ${n(seg.y)}`
    } else d += 'Z'
  }
  return d
}

export interface Box {
  x: number
  y: number
  width: number
  height: number
}

/** What the items cover, roughly for text: the place that can be pressed and ringed. */
export function boxOf(items: Item[]): Box | null {
  let left = Infinity
  let top = Infinity
  let right = -Infinity
  let bottom = -Infinity
  const take = (x: number, y: number): void => {
    left = Math.min(left, x)
    right = Math.max(right, x)
    top = Math.min(top, y)
    bottom = Math.max(bottom, y)
  }
  for (const item of items) {
    if (item.item === 'path') {
      for (const seg of item.segs) if (seg.seg !== 'close') take(seg.x, seg.y)
    } else if (item.item === 'text') {
      const height = item.size * PT_MM
      const width = item.text.length * height * (item.face === 'bold' ? 0.6 : 0.52)
      const from = item.anchor === 'start' ? item.x : item.anchor === 'end' ? item.x - width : item.x - width / 2
      take(from, item.y - height * 0.8)
      take(from + width, item.y + height * 0.25)
    } else {
      const inner = boxOf(item.items)
      if (inner) {
        take(inner.x, inner.y)
        take(inner.x + inner.width, inner.y + inner.height)
      }
    }
  }
  return left > right ? null : { x: left, y: top, width: right - left, height: bottom - top }
}

/** Words this near to each other belong to one label, mm. */
const NEAR = 6

const near = (a: Box, b: Box): boolean =>
  a.x - NEAR < b.x + b.width && b.x - NEAR < a.x + a.width && a.y - NEAR < b.y + b.height && b.y - NEAR < a.y + a.height

const both = (a: Box, b: Box): Box => {
  const [x, y] = [Math.min(a.x, b.x), Math.min(a.y, b.y)]
  return { x, y, width: Math.max(a.x + a.width, b.x + b.width) - x, height: Math.max(a.y + a.height, b.y + b.height) - y }
}

/** The labels of a part: one box for words that stand together; all of it when it has no words. */
export function labelsOf(items: Item[]): Box[] {
  const out: Box[] = []
  for (const item of items) {
    if (item.item !== 'text') continue
    let box = boxOf([item])
    if (!box) continue
    for (let i = out.length - 1; i >= 0; i -= 1) {
      const other = out[i]
      if (other && near(box, other)) {
        box = both(box, other)
        out.splice(i, 1)
      }
    }
    out.push(box)
  }
  if (out.length > 0) return out
  const whole = boxOf(items)
  return whole ? [whole] : []
}

/** Large enough that a width rounded to whole pixels for each letter says little else than what the font states. */
const MEASURED_PX = 200
const widths = new Map<string, number>()
let measuring: CanvasRenderingContext2D | null | undefined

/**
 * How wide a line of text is by its font, mm, as the drawing was laid out. Letters set small are as wide as whole pixels make them, up to a
 * twentieth more: lines that were laid out apart would touch. `undefined` where it cannot be told (yet): the line stays as it comes.
 */
export function widthOf(text: string, face: Face, size: number): number | undefined {
  const { family, weight } = FONTS[face]
  const set = `${weight} ${MEASURED_PX}px ${family}`
  const known = widths.get(set + text)
  if (known !== undefined) return known * size
  measuring ??= typeof CanvasRenderingContext2D === 'undefined' ? null : document.createElement('canvas').getContext('2d')
  // A font that is not there yet is measured as another.
  if (!measuring || text === '' || !document.fonts.check(set, text)) return undefined
  measuring.font = set
  const perPoint = (measuring.measureText(text).width / MEASURED_PX) * PT_MM
  widths.set(set + text, perPoint)
  return perPoint * size
}
