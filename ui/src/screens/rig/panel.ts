import type { Row } from './departures'

/** What stands in the panel beside the drawing. */
export type Panel = { kind: 'checks' } | { kind: 'how' } | { kind: 'sign' } | { kind: 'accept'; row: Row } | { kind: 'part' } | { kind: 'add' }
