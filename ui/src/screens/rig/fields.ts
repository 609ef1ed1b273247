// What fields of the rig's forms share.
import type { Edit } from '../../wire/Edit'
import type { RigDraft } from '../../wire/RigDraft'
import type { Trouble } from '../../wire/Trouble'
import { plain } from '../../words'

/** A bare number takes the unit of its field. */
export const withUnit = (text: string, unit: string): string =>
  /^[-+]?\d+(\.\d+)?$/.test(text.trim()) ? text.trim() + unit : text.trim()

/** Metres to the millimetre, without a tail of zeros. */
export const exact = (m: number): string => String(Math.round(m * 1000) / 1000)

/** An id of its own, from a name or else from what it is. */
export function freeId(draft: RigDraft, label: string, what: string): string {
  const word = label.trim().toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '_').replace(/^_+|_+$/g, '')
  const base = word || plain(what).replace(/ /g, '_')
  const taken = new Set([draft.parts, draft.points, draft.ropes, draft.hands, draft.groups].flatMap((list) => list.map((one) => one.id)))
  let n = 1
  let free = base
  while (taken.has(free) || taken.has(`at_${free}`)) free = `${base}_${++n}`
  return free
}

/** What a hand can work: devices, hitches, ropes. */
export const workable = (draft: RigDraft): { id: string; label: string }[] =>
  draft.parts.filter((p) => p.is_device || p.kind === 'rope').map(({ id, label }) => ({ id, label }))

/** How long typing must rest before its check is asked for, ms. */
export const SETTLE_MS = 200

/** What every form that edits the rig is given. */
export interface EditProps {
  draft: RigDraft
  trouble: Trouble | null
  ontry: (edits: Edit[]) => void
  onedit: (edits: Edit[]) => void
  onaway: () => void
}
