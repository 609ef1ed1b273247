import type { MotionSpan } from '../../wire/MotionSpan'
import type { FindingView } from '../../wire/FindingView'
import type { MarkView } from '../../wire/MarkView'

/** Time runs down evenly over a height: unlike the live line, length here is time. */
export interface Scale {
  from: number
  to: number
  height: number
}

/** Where a moment lies, held inside the picture. */
export function place(scale: Scale, at: number): number {
  const span = Math.max(1, scale.to - scale.from)
  return Math.min(1, Math.max(0, (at - scale.from) / span)) * scale.height
}

const STEPS_MIN = [1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880]

/** Moments to label: the smallest round step that leaves `gap` px between two of them, in local time. */
export function ticks(scale: Scale, offsetMin: number, gap: number): number[] {
  const perMin = scale.height / Math.max(1e-9, (scale.to - scale.from) / 60_000)
  const step = (STEPS_MIN.find((s) => s * perMin >= gap) ?? 2880) * 60_000
  const shift = offsetMin * 60_000
  const out: number[] = []
  for (let t = Math.ceil((scale.from + shift) / step) * step - shift; t <= scale.to; t += step) out.push(t)
  return out
}

/** A stretch of one motion as drawn. */
export interface Stretch {
  motion: string
  slow: boolean
  top: number
  bottom: number
}

/** The motion over the height; a stretch without an end runs to the scale's end. */
export function stretches(spans: MotionSpan[], scale: Scale): Stretch[] {
  return spans
    .map((s) => ({
      motion: s.motion,
      slow: s.slow,
      top: place(scale, s.from_ms),
      bottom: place(scale, s.to_ms ?? scale.to),
    }))
    .filter((s) => s.bottom > s.top)
}

/**
 * Spreads labels so that each has `gap` to the next and stays within 0..height, moving them as
 * little as the order allows: blocks that would overlap share their mean, as weights on a string.
 */
export function spread(wanted: number[], gap: number, height: number): number[] {
  interface Block {
    first: number
    size: number
    sum: number
  }
  const at = (b: Block): number => {
    const half = ((b.size - 1) * gap) / 2
    const middle = b.sum / b.size
    return Math.min(Math.max(middle, half), Math.max(half, height - half))
  }
  const blocks: Block[] = []
  wanted.forEach((y, i) => {
    blocks.push({ first: i, size: 1, sum: y })
    for (;;) {
      const b = blocks[blocks.length - 1]
      const a = blocks[blocks.length - 2]
      if (a === undefined || b === undefined) break
      const endOfA = at(a) + ((a.size - 1) * gap) / 2
      const startOfB = at(b) - ((b.size - 1) * gap) / 2
      if (startOfB - endOfA >= gap - 1e-9) break
      blocks.splice(-2, 2, { first: a.first, size: a.size + b.size, sum: a.sum + b.sum })
    }
  })
  return blocks.flatMap((b) => {
    const top = at(b) - ((b.size - 1) * gap) / 2
    return Array.from({ length: b.size }, (_, i) => top + i * gap)
  })
}

/** "4 s", "1:12", "2:03:10". */
export function delayWords(seconds: number): string {
  return seconds < 60 ? `${Math.round(seconds)} s` : clockWords(seconds)
}

/** "18:52", "1:02:03". */
export function clockWords(seconds: number): string {
  const s = Math.max(0, Math.round(seconds))
  const h = Math.floor(s / 3600)
  const m = Math.floor(s / 60) % 60
  const two = (n: number): string => String(n).padStart(2, '0')
  return h > 0 ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`
}

/** "load test", "tied off": a motion's id in words. */
export function motionWords(motion: string): string {
  return motion === 'under_load_test' ? 'load test' : motion.replaceAll('_', ' ')
}

/** Names of the stretches that can be named beside the rope; the shortest give way when there is no room. */
export function labelled(all: Stretch[], gap: number, height: number): { motion: string; y: number }[] {
  const most = Math.max(1, Math.floor(height / gap))
  const named = all.filter((s) => s.bottom - s.top >= 5)
  const kept = new Set([...named].sort((a, b) => b.bottom - b.top - (a.bottom - a.top)).slice(0, most))
  const shown = named.filter((s) => kept.has(s))
  const ys = spread(
    shown.map((s) => (s.top + s.bottom) / 2),
    gap,
    height,
  )
  return shown.map((s, i) => ({ motion: s.motion, y: ys[i] ?? s.top }))
}

/** A mark with its place on the rope and the place of its words. */
export interface PlacedMark {
  words: string
  finding: number | null
  at: number
  y: number
}

/** Room for “4 more marks” at the foot, px. */
const MORE = 16

/** Marks in time order with their words spread; findings go before benchmarks when there is no room. */
export function placedMarks(marks: MarkView[], scale: Scale, gap: number): { marks: PlacedMark[]; more: number } {
  const fits = Math.floor(scale.height / gap)
  const most = Math.max(1, marks.length > fits ? Math.floor((scale.height - MORE) / gap) : fits)
  const ranked = [...marks].sort((a, b) => Number(a.finding === null) - Number(b.finding === null))
  const kept = new Set(ranked.slice(0, most))
  const shown = marks.filter((m) => kept.has(m)).sort((a, b) => a.at_ms - b.at_ms)
  const at = shown.map((m) => place(scale, m.at_ms))
  // The line that says how many more there are stands below the last one, not on it.
  const ys = spread(at, gap, scale.height - (kept.size < marks.length ? MORE : 0))
  return {
    marks: shown.map((m, i) => ({ words: m.words, finding: m.finding, at: at[i] ?? 0, y: ys[i] ?? 0 })),
    more: marks.length - shown.length,
  }
}

/** What a mark says in a word, where a finding is named beside the rope. */
const SHORT: Record<string, string> = {
  silent: 'silent',
  wrong: 'wrong',
  vacant: 'vacant',
  stale: 'unsigned',
  falls_short: 'falls short',
  not_checked: 'not checked',
  zone: 'zone',
  stop: 'STOP',
  late: 'late',
}
const FITS = 20

/** A finding in a word or two; all of it stands in the list. */
export function shortWords(finding: FindingView): string {
  const word = SHORT[finding.mark]
  if (word !== undefined) return word
  return finding.detail !== '' && finding.detail.length <= FITS ? finding.detail : finding.words
}

/** Marks with findings named in a word. */
export function shortened(marks: MarkView[], findings: FindingView[]): MarkView[] {
  return marks.map((mark) => {
    const finding = mark.finding === null ? undefined : findings[mark.finding - 1]
    return finding ? { ...mark, words: shortWords(finding) } : mark
  })
}
