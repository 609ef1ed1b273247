// Marks, 22 px: shape, word and tone; each can be told in grey and by word alone.

export interface Shape {
  d: string
  fill?: string
  stroke?: string
  width?: number
  dash?: string
}

export interface MarkDrawing {
  word: string
  shapes: Shape[]
}

const ring = (radius: number): string =>
  `M${11 - radius} 11a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0z`

const RED = 'var(--red)'
const ON_RED = 'var(--on-red)'
const INK = 'var(--ink)'
const INK2 = 'var(--ink2)'
const EDGE = 'var(--edge)'
const SQUARE = 'M1 1h20v20h-20z'
const TICK = 'M6.5 11.5l3 3 6-7'

const holds: Shape[] = [
  { d: ring(9), stroke: EDGE, width: 1.75 },
  { d: TICK, stroke: EDGE, width: 2 },
]
const silent: Shape[] = [
  { d: 'M18.5 14.5A8.3 8.3 0 1 1 18.5 7.5', stroke: 'currentColor', width: 3 },
  { d: 'M9 11h12', stroke: 'currentColor', width: 2.4, dash: '2.4 2.4' },
]
const correction: Shape[] = [{ d: 'M18 19V9H5M10 4L5 9l5 5', stroke: 'currentColor', width: 2.2 }]

export const MARKS: Record<string, MarkDrawing> = {
  holds: { word: 'holds', shapes: holds },
  held: { word: 'held', shapes: holds },
  good: { word: 'within the guidelines', shapes: holds },
  falls_short: {
    word: 'falls short',
    shapes: [
      { d: SQUARE, fill: RED },
      { d: 'M4 11h8', stroke: ON_RED, width: 5 },
      { d: 'M17 4.5v13', stroke: ON_RED, width: 2.5 },
    ],
  },
  overloaded: {
    word: 'overloaded',
    shapes: [
      { d: SQUARE, fill: RED },
      { d: 'M4 11h14.5', stroke: ON_RED, width: 5 },
      { d: 'M11.5 3.5v3.5M11.5 15v3.5', stroke: ON_RED, width: 2.5 },
    ],
  },
  dropped: {
    word: 'dropped',
    shapes: [
      { d: 'M.5 2.5h21L11 21z', fill: RED },
      { d: 'M11 6v6M11 14v2.4', stroke: ON_RED, width: 2.4 },
    ],
  },
  not_checked: {
    word: 'not checked',
    shapes: [
      { d: 'M2 2h18v18h-18z', fill: 'var(--violet-soft)', stroke: 'var(--violet)', width: 2, dash: '4 2.55' },
      { d: 'M5 13l8-8M5 18L18 5M10 18l8-8', stroke: 'var(--violet)', width: 1.5 },
    ],
  },
  held_if_acts: {
    word: 'held only if',
    shapes: [
      { d: ring(9), fill: 'var(--sheet)', stroke: INK, width: 2 },
      { d: 'M11 2a9 9 0 0 0 0 18z', fill: 'var(--amber)', stroke: INK, width: 2 },
    ],
  },
  moves: {
    word: 'moves',
    shapes: [
      { d: 'M11 .8L21.2 11 11 21.2.8 11z', fill: 'var(--amber)', stroke: INK, width: 1.5 },
      { d: 'M11 5.5v9M7.5 11.5l3.5 4 3.5-4', stroke: 'var(--on-amber)', width: 2 },
    ],
  },
  silent: { word: 'silent', shapes: silent },
  waiting: { word: 'waiting', shapes: [{ d: 'M18.5 14.5A8.3 8.3 0 1 1 18.5 7.5', stroke: 'currentColor', width: 2 }] },
  wrong: {
    word: 'wrong readback',
    shapes: [
      { d: SQUARE, fill: RED },
      { d: 'M5 8.5h12M5 13.5h12M14 4.5L8 17.5', stroke: ON_RED, width: 2.3 },
    ],
  },
  stop: {
    word: 'stop',
    shapes: [
      { d: 'M7 1.5h8L20.5 7v8L15 20.5H7L1.5 15V7z', fill: 'currentColor' },
      { d: 'M6 11h10', stroke: 'var(--sheet)', width: 3 },
    ],
  },
  late: {
    word: 'late entry',
    shapes: [
      { d: ring(9), stroke: INK2, width: 1.75, dash: '3 2' },
      { d: 'M11 5.5V11l4 3', stroke: INK2, width: 2 },
    ],
  },
  correction: { word: 'correction', shapes: correction },
  corrected: { word: 'corrected', shapes: correction },
  vacant: {
    word: 'vacant',
    shapes: [
      { d: 'M6.8 7a4.2 4.2 0 1 0 8.4 0a4.2 4.2 0 1 0 -8.4 0z', stroke: 'currentColor', width: 2, dash: '3 2' },
      { d: 'M3 20c0-9 16-9 16 0', stroke: 'currentColor', width: 2, dash: '3 2' },
    ],
  },
  zone: {
    word: 'zone',
    shapes: [
      { d: 'M11 2l9.5 17h-19z', fill: 'var(--amber)', stroke: INK, width: 1.75 },
      { d: 'M11 8v5M11 15v2', stroke: 'var(--on-amber)', width: 2.2 },
    ],
  },
  stale: {
    word: 'signature stale',
    shapes: [
      { d: ring(9), stroke: INK, width: 2 },
      { d: 'M4.5 17.5l13-13', stroke: INK, width: 2 },
    ],
  },
  saved: {
    word: 'saved',
    shapes: [
      { d: ring(9.5), fill: EDGE },
      { d: TICK, stroke: 'var(--sheet)', width: 2.4 },
    ],
  },
  writing: { word: 'writing', shapes: [{ d: ring(8.5), stroke: EDGE, width: 2 }] },
  not_saved: {
    word: 'not saved',
    shapes: [
      { d: SQUARE, fill: RED },
      { d: 'M6 6l10 10M16 6L6 16', stroke: ON_RED, width: 2.4 },
    ],
  },
}
