// The review of the invented operation: durations are summed from its spans, the rest is told.
import type { MotionSpan } from '../wire/MotionSpan'
import type { ReviewView } from '../wire/ReviewView'
import type { View } from '../wire/View'

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

export function mockReview(view: View): ReviewView {
  const until = view.operation.closed_ms ?? view.now_ms
  const at = (text: string): { at: number; seqs: number[] } => {
    const rows = view.rows.filter((row) => row.text.includes(text))
    return { at: rows[0]?.at_ms ?? until, seqs: rows.map((row) => row.seq) }
  }
  const wrong = at('raise slow')
  const silent = at('edge clear?')
  const stop = at('stop')
  const findings: ReviewView['findings'] = [
    { departs: true, words: 'Rope two said “raise slow”', detail: 'order was “slow”; not put right yet', mark: 'wrong', entries: wrong.seqs, at_ms: wrong.at },
    { departs: true, words: '“Edge clear?” not read back', detail: 'edge attendant; 1 order of 41', mark: 'silent', entries: silent.seqs, at_ms: silent.at },
    { departs: true, words: 'Moved with no tailer', detail: '3:37 of lowering; this rig asks for one', mark: 'vacant', entries: [1], at_ms: view.operation.opened_ms + 1421_000 },
    { departs: true, words: 'Drop zone not empty', detail: 'Gil Ferro, 1:12 while lowering', mark: 'zone', entries: [68], at_ms: view.operation.opened_ms + 1714_000 },
    { departs: false, words: 'STOP reported by all in 4 s', detail: 'within the team’s 5 s', mark: 'good', entries: stop.seqs, at_ms: stop.at },
  ]
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
    findings,
    spans: view.spans,
    marks: [
      ...findings.map((f, i) => ({ at_ms: f.at_ms, words: f.words, finding: i + 1 })),
      { at_ms: view.operation.opened_ms + 1400_000, words: 'over the edge', finding: null },
    ],
    ticks: view.rows.map((row): [number, string] => [row.at_ms, row.side]),
  }
}
