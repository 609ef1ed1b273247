// How wide words are in the screens' font, to know how many lines they take before they are drawn.

let context: CanvasRenderingContext2D | null | undefined

function canvas(): CanvasRenderingContext2D | null {
  if (context === undefined) {
    context = document.createElement('canvas').getContext('2d')
  }
  return context
}

const AVERAGE_PX = 8.7
/** The counters redraw the line every second; the same words are measured once. */
const known = new Map<string, number>()
const MOST_KNOWN = 2000

/** Measures anew: the fonts have come. */
export const forgetWidths = (): void => known.clear()

/** Width in px of `text` at 16 px; an average where there is no canvas. */
export function widthOf(text: string, bold = false): number {
  const pen = canvas()
  if (!pen) return text.length * AVERAGE_PX
  const key = bold ? `b${text}` : text
  const found = known.get(key)
  if (found !== undefined) return found
  if (known.size >= MOST_KNOWN) known.clear()
  pen.font = `${bold ? 700 : 400} 16px B612, Names, sans-serif`
  const { width } = pen.measureText(text)
  known.set(key, width)
  return width
}

/** Lines a text of that width takes, with room for a ragged end; at most `most`. */
export function linesFor(width: number, room: number, most: number): number {
  if (width <= 0) return 0
  if (width <= room) return 1
  return Math.min(most, Math.ceil((width * 1.08) / room))
}
