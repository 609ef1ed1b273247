import type { ReviewView } from '../wire/ReviewView'
import type { View } from '../wire/View'

export const MOCK_REVIEW = (view: View): ReviewView => ({
  motions: [],
  readbacks: [],
  measures: [],
  findings: [],
  spans: view.spans,
  marks: [],
  ticks: view.rows.map((row) => [row.at_ms, row.side]),
})
