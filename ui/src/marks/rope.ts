// The rope's pattern is the motion: told by pattern and outline, never by colour alone.

export interface Stroke {
  d: string
  ink: string
  width: number
  round?: boolean
}

export interface RopeShape {
  /** Body of the rope, if it has one: x and width. */
  body: { x: number; width: number } | null
  strokes: Stroke[]
}

export interface RopeSpan {
  motion: string
  slow?: boolean
  /** Left side, top and bottom, width of the body. */
  x: number
  top: number
  bottom: number
  width: number
  /** 1 on the line; smaller in the strip. */
  scale?: number
  /** Stopping, and it still lasts: red. */
  inForce?: boolean
}

type Painter = (span: Required<RopeSpan>) => RopeShape

const INK = 'var(--ink)'
const STRAND = 'var(--strand)'
const ROPE = 'var(--rope)'

const r = (n: number): number => Math.round(n * 100) / 100

function sides({ x, width, top, bottom }: RopeSpan, stroke: number): Stroke {
  return { d: `M${x} ${top}V${bottom}M${x + width} ${top}V${bottom}`, ink: INK, width: stroke }
}

/** One path that repeats `piece` down the span. */
function down(span: RopeSpan, from: number, pitch: number, piece: (y: number) => string): string {
  let d = ''
  for (let y = span.top + from; y < span.bottom + pitch; y += pitch) d += piece(r(y))
  return d
}

function chevrons(span: Required<RopeSpan>, tip: 1 | -1): Stroke {
  const { x, width, scale, slow } = span
  const pitch = 13 * scale * (slow ? 2 : 1)
  const depth = 9 * scale * tip
  const start = tip === 1 ? -pitch : -depth
  const d = down(span, start, pitch, (y) => `M${x} ${y}L${r(x + width / 2)} ${r(y + depth)}L${r(x + width)} ${y}`)
  return { d, ink: STRAND, width: 3 * scale }
}

const plain: Painter = (span) => ({ body: span, strokes: [sides(span, 2)] })

const loadTest: Painter = (span) => {
  const { x, width, scale } = span
  const rise = 12 * scale
  const d = down(span, -10 * scale, 10 * scale, (y) => {
    const low = r(y + rise)
    return `M${x} ${y}L${x + width} ${low}M${x + width} ${y}L${x} ${low}`
  })
  return { body: span, strokes: [{ d, ink: STRAND, width: 1.75 }, sides(span, 2)] }
}

const atTheEdge: Painter = (span) => {
  const x = span.x - 3 * span.scale
  const reach = 9 * span.scale
  const hatch = down(span, -2, 8 * span.scale, (y) => `M${x} ${y}l${-reach} ${reach}`)
  return {
    body: span,
    strokes: [
      sides(span, 2),
      { d: `M${x} ${span.top}V${span.bottom}`, ink: INK, width: 4 * span.scale },
      { d: hatch, ink: STRAND, width: 1.75 },
    ],
  }
}

const lowering: Painter = (span) => ({ body: span, strokes: [chevrons(span, 1), sides(span, 2)] })

const raising: Painter = (span) => {
  const middle = r(span.x + span.width / 2)
  const seam = { d: `M${middle} ${span.top}V${span.bottom}`, ink: STRAND, width: 2 }
  return { body: span, strokes: [chevrons(span, -1), seam, sides(span, 2)] }
}

const stopping: Painter = (span) => {
  const { x, width, scale, inForce } = span
  const ink = inForce ? 'var(--red)' : INK
  const half = 7 * scale
  const edge = (from: number, to: number): string => {
    let d = `M${from} ${span.top}`
    let out = true
    for (let y = span.top + half; y < span.bottom + half; y += half, out = !out) d += `L${r(out ? to : from)} ${r(y)}`
    return d
  }
  const inset = 4 * scale
  const rungs = down(span, inset, 2 * half, (y) => `M${x + inset} ${y}H${x + width - inset}`)
  return {
    body: span,
    strokes: [
      { d: edge(x, x - half) + edge(x + width, x + width + half), ink, width: 3 * scale },
      { d: rungs, ink, width: 3 * scale },
    ],
  }
}

const stopped: Painter = (span) => {
  const { x, width, scale } = span
  const d = down(span, 3 * scale, 9 * scale, (y) => `M${x} ${y}H${x + width}`)
  return { body: span, strokes: [{ d, ink: STRAND, width: 4 * scale }, sides(span, 2.5)] }
}

const tiedOff: Painter = (span) => {
  const { x, width, scale } = span
  const proud = 5 * scale
  const wraps = down(span, 0, 12 * scale, (y) => {
    return `M${r(x - proud)} ${r(y + 4 * scale)}L${r(x + width + proud)} ${r(y - 4 * scale)}`
  })
  return {
    body: null,
    strokes: [
      sides(span, 1.5),
      { d: wraps, ink: INK, width: 6 * scale, round: true },
      { d: wraps, ink: ROPE, width: 2.2 * scale, round: true },
    ],
  }
}

const landed: Painter = (span) => {
  const middle = span.x + span.width / 2
  const half = 26 * span.scale
  const swing = 14.3 * span.scale
  let d = `M${middle} ${span.top}`
  let out = 1
  for (let y = span.top; y < span.bottom; y += half, out = -out) {
    const bulge = r(middle + swing * out)
    d += `C${bulge} ${r(y + half / 4)} ${bulge} ${r(y + (half * 3) / 4)} ${middle} ${r(y + half)}`
  }
  return {
    body: null,
    strokes: [
      { d, ink: INK, width: 9 * span.scale },
      { d, ink: ROPE, width: 5.5 * span.scale },
    ],
  }
}

const PAINTERS: Record<string, Painter> = {
  at_rest: plain,
  under_load_test: loadTest,
  at_the_edge: atTheEdge,
  lowering,
  raising,
  stopping,
  stopped,
  tied_off: tiedOff,
  landed,
}

/** The drawing of one stretch of rope; a motion it does not know is a plain rope. */
export function ropeShape(span: RopeSpan): RopeShape {
  const whole = { slow: false, scale: 1, inForce: false, ...span }
  return (PAINTERS[span.motion] ?? plain)(whole)
}
