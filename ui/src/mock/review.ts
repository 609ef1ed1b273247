// The review of the invented operation: durations are summed from its spans, the rest is told.
import type { CompareView } from '../wire/CompareView'
import type { ComparedRow } from '../wire/ComparedRow'
import type { Item } from '../wire/Item'
import type { Learned } from '../wire/Learned'
import type { MotionSpan } from '../wire/MotionSpan'
import type { ReviewView } from '../wire/ReviewView'
import type { Step } from '../steps'
import type { View } from '../wire/View'
import { mockRopes } from './ropes'

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

function lasting(spans: MotionSpan[], until: number): [string, number][] {
  return MOTIONS.map((motion): [string, number] => {
    const own = spans.filter((span) => span.motion === motion)
    return [motion, own.reduce((sum, span) => sum + ((span.to_ms ?? until) - span.from_ms) / 1000, 0)]
  }).filter(([, seconds]) => seconds > 0)
}

const RULES: Record<string, string> = {
  wrong: 'a readback says what was ordered',
  silent: 'whoever an order is for reads it back, within 10 s',
  vacant: 'every role that the rig asks for is held by someone before the load moves',
  zone: 'nobody is below a load that moves',
}

type Said = Partial<ReviewView['findings'][number]>

/** `said`: what people said to findings, by their names. */
export function mockReview(view: View, said: Map<string, Said> = new Map(), gear: [string, string][] = [], lessons: Learned[] = []): ReviewView {
  const until = view.operation.closed_ms ?? view.now_ms
  const at = (text: string): { at: number; seqs: number[] } => {
    const rows = view.rows.filter((row) => row.text.includes(text))
    return { at: rows[0]?.at_ms ?? until, seqs: rows.map((row) => row.seq) }
  }
  const wrong = at('raise slow')
  const silent = at('edge clear?')
  const stop = at('stop')
  const ruled = { source: 'common practice, no source', sure: 'as recorded', by: null, said: [], set_aside: false }
  const found: Omit<ReviewView['findings'][number], 'id' | 'rule' | keyof typeof ruled>[] = [
    { departs: true, words: 'Rope two said “raise slow”', detail: 'order was “slow”; not put right yet', mark: 'wrong', entries: wrong.seqs, at_ms: wrong.at },
    { departs: true, words: '“Edge clear?” not read back', detail: 'edge attendant; 1 order of 41', mark: 'silent', entries: silent.seqs, at_ms: silent.at },
    { departs: true, words: 'Moved with no tailer', detail: '3:37 of lowering; this rig asks for one', mark: 'vacant', entries: [1], at_ms: view.operation.opened_ms + 1421_000 },
    { departs: true, words: 'Drop zone not empty', detail: 'Gil Ferro, 1:12 while lowering', mark: 'zone', entries: [68], at_ms: view.operation.opened_ms + 1714_000 },
    { departs: false, words: 'STOP reported by all in 4 s', detail: 'within the team’s 5 s', mark: 'good', entries: stop.seqs, at_ms: stop.at },
  ]
  const findings: ReviewView['findings'] = found.map((f, i) => ({
    ...f,
    ...ruled,
    id: `${f.mark}:${i}`,
    rule: RULES[f.mark] ?? 'what was good is told too',
    ...said.get(`${f.mark}:${i}`),
  }))
  return {
    motions: lasting(view.spans, until),
    readbacks: [
      { role: 'rope one operator', orders: 17, never: 0, median_s: 1.6, p90_s: 3, worst_s: 4 },
      { role: 'rope two operator', orders: 17, never: 0, median_s: 2.4, p90_s: 7, worst_s: 9 },
      { role: 'edge attendant', orders: 5, never: 1, median_s: 2.8, p90_s: 8, worst_s: 8.2 },
      { role: 'litter attendant', orders: 3, never: 0, median_s: 2.5, p90_s: null, worst_s: 6 },
    ],
    measures: [
      ['read back, of 41 orders', '40'],
      ['STOP to all stopped, limit 5 s', '4 s'],
      ['longest on rope, Aksel Thorne', '6:26'],
      ['PAR kept, of 2', '2'],
    ],
    tables: [
      {
        head: 'Speed between called heights',
        how: 'metres between two calls that follow each other, over the time in which the load was lowered or raised between them',
        rows: [{ words: '5 m to 11 m out', value: '6.2 m/min down, 0:58 moving', entries: [60, 66] }],
      },
      {
        head: 'Rope left',
        how: 'length of the rope as it was said, less rope for knots, less its way above the edge, less metres out as they were called',
        rows: [{ words: 'rope one of “lower”', value: 'least: 42 m left, at 11 m out', entries: [66] }],
      },
      { head: 'Resets', how: 'orders that begin with “reset”', rows: [] },
    ],
    quarantined: gear,
    lessons,
    tape: {
      from_ms: view.operation.opened_ms,
      to_ms: until,
      edge_m: 22,
      roles: view.roles
        .filter((role) => role.person !== null)
        .map((role) => ({ what: role.role, person: role.person ?? '', from_ms: view.operation.opened_ms + 300_000, to_ms: null })),
      zones: view.on_rope.map((on) => ({ what: 'on_rope', person: on.person, from_ms: on.since_ms, to_ms: null })),
      heights: [[view.operation.opened_ms + 1500_000, 5, '5 m'], [view.operation.opened_ms + 1600_000, 11, '11 m']],
      rigs: [{ at_ms: view.operation.opened_ms + 600_000, rig: 'lower', state: 'lowering' }],
      phases: [],
      ropes: [1500_000, 1600_000].map((at, i) => ({
        at_ms: view.operation.opened_ms + at,
        lines: mockRopes(i === 0 ? 5 : 11, 'lowering', 'long').lines,
      })),
      flags: [{ at_ms: view.operation.opened_ms + 1421_000, words: 'the load was ordered to move with no tailer, which the rig asks for' }],
      order: view.rows.map((row) => row.seq),
    },
    findings,
    spans: view.spans,
    marks: [
      ...findings.map((f, i) => ({ at_ms: f.at_ms, words: f.words, finding: i + 1 })),
      { at_ms: view.operation.opened_ms + 1400_000, words: 'over the edge', finding: null },
    ],
    ticks: view.rows.map((row): [number, string] => [row.at_ms, row.side]),
  }
}

/** Its figures as the program tells them in other units. */
const US: Record<string, string> = {
  '5 m': '16 ft',
  '11 m': '36 ft',
  '5 m to 11 m out': '16 ft to 36 ft out',
  '6.2 m/min down, 0:58 moving': '20 ft/min down, 0:58 moving',
  'least: 42 m left, at 11 m out': 'least: 137 ft left, at 36 ft out',
  '48 m left': '157 ft left',
  '42 m left': '137 ft left',
}

/** The review in the units asked for. */
export function inUnits(review: ReviewView, units: string): ReviewView {
  if (units !== 'us') return review
  const told = (words: string): string => US[words] ?? words
  const { tables, tape } = review
  return {
    ...review,
    tables: tables.map((t) => ({ ...t, rows: t.rows.map((r) => ({ ...r, words: told(r.words), value: told(r.value) })) })),
    tape: {
      ...tape,
      heights: tape.heights.map(([at, metres, words]) => [at, metres, told(words)]),
      ropes: tape.ropes.map((r) => ({ ...r, lines: r.lines.map((line) => ({ ...line, words: told(line.words) })) })),
    },
  }
}

/** What was said to findings, from the steps. */
export function saidTo(steps: readonly Step[]): Map<string, Said> {
  const out = new Map<string, Said>()
  steps.forEach((step, i) => {
    if (step.do !== 'agree' && step.do !== 'set_aside') return
    const agrees = step.do === 'agree'
    const reason = step.do === 'agree' ? (step.text ?? '') : step.reason
    const said = [...(out.get(step.of)?.said ?? []), { seq: 400 + i, person: step.person, agrees, reason, at_ms: 0 }]
    out.set(step.of, { said, set_aside: !agrees })
  })
  return out
}

/** Lessons, from the steps. */
export function learned(steps: readonly Step[]): Learned[] {
  return steps.flatMap((step, i): Learned[] =>
    step.do === 'lesson'
      ? [{ seq: 400 + i, change: step.what === 'change', text: step.text, person: step.person, who: step.who ?? '', by_when: step.by_when ?? '' }]
      : [],
  )
}

/** Gear that is out of use, from the steps. */
export function outOfUse(steps: readonly Step[]): [string, string][] {
  return steps.flatMap((step): [string, string][] => (step.do === 'quarantine' ? [[step.gear, step.reason]] : []))
}

/** As `drawing::charts::trend` draws it. */
function trend(values: (number | null)[]): ComparedRow['picture'] {
  const highest = Math.max(...values.map((v) => v ?? 0), 1)
  const at = (v: number, i: number): [number, number] => [1.1 + (27.8 * i) / (values.length - 1), 5.9 - (v / highest) * 4.8]
  const items: Item[] = []
  values.forEach((v, i) => {
    const next = values[i + 1]
    if (v !== null && next !== null && next !== undefined) items.push(line(at(v, i), at(next, i + 1)))
  })
  return { width: 30, height: 7, items }
}

const line = ([x, y]: [number, number], [x2, y2]: [number, number]): Item => ({
  item: 'path',
  segs: [{ seg: 'move', x, y }, { seg: 'line', x: x2, y: y2 }],
  fill: null,
  stroke: { ink: 'ink', width: 0.6, dash: [], round: false },
})

export function mockCompare(): CompareView {
  const row = (words: string, unit: string, values: (number | null)[]): ComparedRow => ({ words, unit, values, picture: trend(values) })
  return {
    how: 'the last 5 operations of this folder at most, of the same purpose and team',
    operations: ['Tern Slab', 'Kestrel Wall', 'Heron Step', 'Kestrel Wall'].map((name, i) => ({
      file: `${name} ${i}`,
      name,
      when: `2026-0${i + 2}-14 13:02`,
    })),
    rows: [
      row('readback, 9 in 10', 's', [9, 8.2, null, 6.8]),
      row('read back as ordered', '%', [88, 91, 95, 97.6]),
      row('STOP to all stopped, slowest', 's', [7, 6, 5, 4]),
    ],
  }
}
