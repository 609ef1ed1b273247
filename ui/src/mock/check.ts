// The check of the invented rig and its drawings, whole and with rope one lost: answers of the program
// itself to the template with these values, kept in fixtures/rig.json.
import type { BesideView } from '../wire/BesideView'
import type { CheckReport } from '../wire/CheckReport'
import type { RigDrawing } from '../wire/RigDrawing'
import fixture from './fixtures/rig.json'

interface Kept {
  drawing: Omit<RigDrawing, 'parts'>
  lost: Record<string, RigDrawing>
  check: CheckReport
  /** The same on other systems; the invented operation's own has none. */
  beside?: BesideView
  states: [string, string][]
  set: Record<string, string>
  /** Which template it is of; the invented operation's own says none. */
  template?: string
  title?: string
}

declare global {
  interface Window {
    /** A rig to be looked at in place of the invented operation's, as `cargo run --example look_rigs` writes it. */
    ledgebookLookRig?: unknown
  }
}

const KEPT = (typeof window === 'undefined' ? fixture : (window.ledgebookLookRig ?? fixture)) as unknown as Kept

export const MOCK_CHECK: CheckReport = KEPT.check
export const MOCK_STATES: [string, string][] = KEPT.states
export const MOCK_OF = { template: KEPT.template, title: KEPT.title }
export const MOCK_SET: Record<string, string> = KEPT.set

export const MOCK_BESIDE: BesideView = KEPT.beside ?? {
  systems: [],
  picture: { width: 96, height: 0, items: [] },
  ranks: [],
  words: 'Not checked: there is nothing to set beside.',
}

/** The drawing, or what is left of the load path when something is lost; `loss` is null when nothing is kept for it. */
export function drawn(lost?: string): RigDrawing {
  const after = lost === undefined ? undefined : KEPT.lost[lost]
  return after ?? { ...KEPT.drawing, parts: KEPT.check.parts }
}
