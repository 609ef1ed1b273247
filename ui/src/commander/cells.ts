// What stands in the commander's window: eight cells in a fixed order, each filled only when something departs.
import type { CommanderView } from '../wire/CommanderView'
import type { PersonView } from '../wire/PersonView'
import { headed, lasted } from '../words'

export interface Row {
  lead: string
  /** At the right: how long, or a word. */
  right: string
  mark?: string | undefined
  /** A second line below it. */
  note?: string | undefined
  /** The lead is a person's name, in whatever script. */
  name?: boolean
  /** What stands at the right is the person's role: quiet, and the name has the room first. */
  role?: boolean
}

export interface Cell {
  id: 'on_rope' | 'edge' | 'drop' | 'clear' | 'open' | 'out' | 'par' | 'roles'
  name: string
  right: string
  tone: '' | 'amber' | 'red'
  mark?: string | undefined
  rows: Row[]
}

/** A flag of the movement is shown for so long after its entry, or while it stands. An assumption of this window. */
export const RECENT_MS = 10 * 60_000

/** A flag in a few words: read from far; the line has it in full. */
const FLAG_WORDS: Record<string, string> = {
  contradicting_orders: 'Orders contradict',
  move_during_stop: 'Move in a stop',
  role_not_ready: 'Role not ready',
  role_excluded: 'Role excluded',
  unequal_tension: 'Tension unequal',
  moved_unsigned: 'Moved unsigned',
  moved_on_failing_check: 'Failing check',
  stop_nobody_assigned: 'Nobody to stop',
  no_roll_call: 'No roll call',
  no_load_test: 'No load test',
  handover_unconfirmed: 'Handover unsaid',
  par_after_event: 'No PAR since',
  span_of_control: 'Span of control',
  role_held_long: 'Long in a role',
  phase_not_done: 'Phase not done',
  rope_end_near: 'Rope end near',
  change_over_skipped: 'Change-over short',
}

const WATCH_WORDS: Record<string, string> = {
  motionless_in_harness: 'may hang motionless',
  lost_communications: 'nothing heard since the call',
  not_heard: 'not heard of',
  on_rope_long: 'long on rope',
}

const RIG_WORDS: Record<string, [mark: string, words: string]> = {
  not_checked: ['not_checked', 'not checked'],
  stale: ['stale', 'changed since check'],
  falls_short: ['falls_short', 'falls short'],
  not_checked_whole: ['not_checked', 'not all checked'],
  holds: ['holds', 'check holds'],
}

const isMoving = (view: CommanderView): boolean => ['lowering', 'raising'].includes(view.motion.motion)

const here = (view: CommanderView, zone: string): PersonView[] =>
  view.people.filter((one) => one.out_ms === null && one.zone === zone)

/** The cells of both columns: where people are, and what stands out. */
export function cellsOf(view: CommanderView, now: number): [Cell[], Cell[]] {
  const columns: [Cell[], Cell[]] = [
    [onRope(view, now), zone(view, now, 'edge', 'Edge zone'), drop(view, now), clear(view)],
    [notReadBack(view, now), standsOut(view, now), par(view, now), roles(view)],
  ]
  // Once it is closed nothing departs any more: what was never answered stands in the review.
  return view.closed_ms === null ? columns : (columns.map((cells) => cells.map((cell) => ({ ...cell, tone: '' }))) as [Cell[], Cell[]])
}

/** A person and since when; whoever is exposed and was not said to be tied in is told so. */
const person = (one: PersonView, now: number): Row => ({
  lead: one.person,
  name: true,
  right: lasted(now - one.zone_ms),
  ...(one.mark === 'zone' ? { note: one.note, mark: 'zone' } : {}),
})

function zone(view: CommanderView, now: number, id: 'edge' | 'on_rope', name: string): Cell {
  const people = here(view, id)
  const loose = people.some((one) => one.mark === 'zone')
  return { id, name, right: String(people.length), tone: loose ? 'amber' : '', rows: people.map((one) => person(one, now)) }
}

function onRope(view: CommanderView, now: number): Cell {
  const cell = zone(view, now, 'on_rope', 'On rope')
  if (!view.motion.nobody_on_rope) return cell
  return { ...cell, tone: 'amber', mark: 'zone', name: 'On rope: who?', right: '0', rows: [{ lead: 'The load moves', right: '' }] }
}

function drop(view: CommanderView, now: number): Cell {
  const people = here(view, 'drop')
  const below = people.length > 0 && isMoving(view)
  return {
    id: 'drop',
    name: below ? 'Drop zone, not empty' : 'Drop zone',
    right: String(people.length),
    tone: below ? 'amber' : '',
    mark: below ? 'zone' : undefined,
    rows: people.map((one) => ({ lead: one.person, name: true, right: lasted(now - one.zone_ms) })),
  }
}

function clear(view: CommanderView): Cell {
  const people = here(view, 'clear')
  const short = (role: string): string => view.roles.find((one) => one.role === role)?.short ?? role
  const rows = people.map((one) => ({ lead: one.person, name: true, right: one.roles.map(short).join(', '), role: true }))
  return { id: 'clear', name: 'Clear', right: String(people.length), tone: '', rows }
}

function notReadBack(view: CommanderView, now: number): Cell {
  const { slots } = view
  const stops = slots.filter((slot) => slot.state === 'stop')
  const past = (slot: (typeof slots)[number]): boolean => now - slot.since_ms > slot.limit_s * 1000
  const tone = stops.length > 0 ? 'red' : slots.some((slot) => slot.state === 'wrong' || past(slot)) ? 'amber' : ''
  const said = (slot: (typeof slots)[number]): string => {
    if (slot.state === 'stop') return 'has not reported stopped'
    if (slot.state === 'wrong') return `“${slot.said ?? ''}”, not “${slot.text}”`
    return past(slot) ? `silent on “${slot.text}”` : `to read back “${slot.text}”`
  }
  const worst = [...slots].sort((a, b) => grade(b.state) - grade(a.state))
  return {
    id: 'open',
    name: stops.length > 0 ? 'Not reported stopped' : 'Not read back',
    right: String((stops.length > 0 ? stops : slots).length),
    tone,
    mark: tone ? 'silent' : undefined,
    rows: worst.map((slot) => ({
      lead: slot.short,
      right: lasted(now - slot.since_ms),
      note: said(slot),
      mark: slot.state === 'wrong' ? 'wrong' : undefined,
    })),
  }
}

const grade = (state: string): number => (state === 'stop' ? 2 : state === 'wrong' ? 1 : 0)

function standsOut(view: CommanderView, now: number): Cell {
  const over = view.watches.filter((one) => now > one.due_ms)
  const recent = view.flags.filter((one) => one.stands || now - one.at_ms <= RECENT_MS)
  const grave = over.some((one) => one.id === 'motionless_in_harness')
  // What was flagged in an earlier motion is told, and does not fill the cell any more.
  const lasting = over.length > 0 || recent.some((one) => one.stands || one.at_ms >= view.motion.since_ms)
  const rows: Row[] = [
    ...over.map((one) => ({
      lead: one.who,
      name: true,
      right: lasted(now - one.since_ms),
      note: WATCH_WORDS[one.id] ?? one.words,
      mark: one.id === 'motionless_in_harness' ? 'wrong' : 'silent',
    })),
    ...recent.map((one) => ({ lead: FLAG_WORDS[one.id] ?? headed(one.words), right: lasted(now - one.at_ms) })),
  ]
  return {
    id: 'out',
    name: rows.length > 0 ? 'Flags' : 'No flags',
    right: rows.length > 0 ? String(rows.length) : '',
    mark: rows.length > 0 ? 'departs' : undefined,
    tone: grave ? 'red' : lasting ? 'amber' : '',
    rows,
  }
}

function par(view: CommanderView, now: number): Cell {
  const { due_ms, last_ms, expected } = view.par
  const missing = view.par_missing
  const left = due_ms === null ? null : due_ms - now
  const over = left !== null && left < 0
  // Whoever came since the count was not in it.
  const since = view.people.filter((one) => one.out_ms === null && last_ms !== null && one.in_ms > last_ms).length
  const rows: Row[] =
    missing === null
      ? [{ lead: 'never counted', right: `${expected} here` }]
      : [{ lead: 'not accounted for', right: String(missing), mark: missing > 0 ? 'departs' : undefined }]
  if (missing !== null && since > 0) rows.push({ lead: 'came since, not counted', right: String(since) })
  return {
    id: 'par',
    name: over ? 'PAR over by' : 'PAR due in',
    right: left === null ? '–' : lasted(Math.abs(left)),
    tone: over || (missing !== null && missing > 0) ? 'amber' : '',
    rows,
  }
}

function roles(view: CommanderView): Cell {
  const vacant = view.roles.filter((one) => one.person === null)
  const [mark, words] = view.rig ? (RIG_WORDS[view.rig.check] ?? ['not_checked', view.rig.check]) : ['not_checked', 'none entered']
  const unsigned = view.rig !== null && !view.rig.signed
  const departs = vacant.length > 0 || unsigned || view.rig?.check !== 'holds'
  const ropes = ropesNear(view)
  return {
    id: 'roles',
    name: 'Rig',
    right: words,
    mark,
    tone: ropes.length > 0 || (departs && isMoving(view)) ? 'amber' : '',
    rows: [
      ...ropes,
      ...(unsigned ? [{ lead: 'nobody has signed it', right: '' }] : []),
      ...vacant.map((one) => ({ lead: headed(one.short), right: 'vacant', mark: 'vacant' })),
    ],
  }
}

/** Ropes whose end is near, the least first: they come before all else of the rig. */
function ropesNear(view: CommanderView): Row[] {
  const lines = view.motion.ropes?.lines ?? []
  const near = lines.filter((line) => line.near).sort((a, b) => (a.left_m ?? 0) - (b.left_m ?? 0))
  return near.map((line) => ({
    lead: lines.length === 1 ? 'Rope left' : `Left, ${line.ropes}`,
    right: (line.left_m ?? 0) < 0 ? 'too short' : line.words.replace(/ left$/, ''),
    mark: 'departs',
  }))
}

/** How much rope is left, in a few words for the head; empty while no end is in question: near ones fill a cell. */
export function ropeWords(view: CommanderView): string {
  const lines = view.motion.ropes?.lines ?? []
  if (view.motion.metres_out === null || lines.some((line) => line.near)) return ''
  const unknown = lines.find((line) => line.left_m === null)
  if (unknown) return lines.length === 1 ? 'rope left not known' : `${unknown.ropes} not known`
  const least = lines.reduce<(typeof lines)[number] | null>((a, b) => (a === null || (b.left_m ?? 0) < (a.left_m ?? 0) ? b : a), null)
  if (least === null) return ''
  return lines.length === 1 ? least.words.replace(/left$/, 'rope left') : `${least.ropes} ${least.words}`
}
