import type { Row } from './departures'

/** What stands in the panel beside the drawing. */
export type Panel =
  | { kind: 'checks' }
  | { kind: 'how' }
  | { kind: 'sign' }
  | { kind: 'accept'; row: Row }
  | { kind: 'part' }
  | { kind: 'hand' }
  | { kind: 'add' }
  | { kind: 'whole' }
  | { kind: 'figures' }

/** Panels that change the rig: what is typed there is tried on the draft. */
export const changes = (panel: Panel): boolean => ['part', 'hand', 'add', 'whole'].includes(panel.kind)
