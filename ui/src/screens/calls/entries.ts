// What hangs on the line: rows of the record, and below them what is not yet on the disk.
import type { Pending } from '../../state/operation.svelte'
import type { LineRow } from '../../wire/LineRow'
import type { RoleView } from '../../wire/RoleView'
import type { Trouble } from '../../wire/Trouble'
import type { View } from '../../wire/View'
import { clockTime, shortRole } from '../../words'

export interface Entry extends LineRow {
  /** Not on the disk (yet): its row is quiet, or says what went wrong. */
  unsaved?: Pending['state']
  trouble?: Trouble | null
  /** Key of the pending entry. */
  pendingKey?: number
}

const NOT_SAVED: Partial<Record<Pending['state'], string>> = {
  failed: 'not saved, tried again each second',
  refused: 'not recorded, touch to take it back',
}

/** A pending entry as a row: the same words, in the same place. */
export function pendingEntry(pending: Pending, last: LineRow | undefined, offsetMin: number, roles: RoleView[]): Entry {
  const who = pending.who
    .split(', ')
    .map((role) => shortRole(role, roles))
    .join(', ')
  const stop = pending.side === 'across'
  return {
    seq: 0,
    id: `pending-${pending.key}`,
    at_ms: pending.atMs,
    time: clockTime(pending.atMs, offsetMin),
    side: pending.side,
    kind: pending.step.do,
    who: stop ? 'to all' : who,
    text: pending.text,
    was: null,
    marks: pending.state === 'writing' ? [] : ['not_saved'],
    detail: pending.trouble ? `${NOT_SAVED[pending.state] ?? ''}: ${pending.trouble.what}` : '',
    of: null,
    loop_state: 'none',
    motion: stop ? 'stopping' : null,
    rope: stop ? 'stopping' : (last?.rope ?? 'at_rest'),
    slow: last?.slow ?? false,
    phase: last?.phase ?? null,
    flags: [],
    unsaved: pending.state,
    trouble: pending.trouble,
    pendingKey: pending.key,
  }
}

/** The second, quiet line of a row. */
export function secondLine(entry: Entry): string {
  return [entry.detail, ...entry.flags.map((flag) => `flagged: ${flag}`)].filter(Boolean).join('; ')
}

/** Up to when clocks run, ms: now, or the operation's close. What is entered after it moves none of them on. */
export const runsUntil = (view: View, now: number): number => view.operation.closed_ms ?? now
