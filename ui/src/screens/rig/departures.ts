import type { CheckReport } from '../../wire/CheckReport'
import type { LossFinding } from '../../wire/LossFinding'
import type { PartFinding } from '../../wire/PartFinding'
import type { StateFindings } from '../../wire/StateFindings'
import type { Verdict } from '../../wire/Verdict'
import { forceWords, marginWords } from './margins'

/** Verdicts of checks and of losses in one order, worst first; words and marks hang on it. */
export type Standing =
  | 'dropped'
  | 'overloaded'
  | 'falls_short'
  | 'not_checked'
  | 'held_if_acts'
  | 'moves'
  | 'holds'

const ORDER: readonly Standing[] = [
  'dropped',
  'overloaded',
  'falls_short',
  'not_checked',
  'held_if_acts',
  'moves',
  'holds',
]

/** The verdict in words, as it leads a row of the checks. */
export const STANDING_WORDS: Record<Standing, string> = {
  dropped: 'dropped',
  overloaded: 'overloaded',
  falls_short: 'falls short',
  not_checked: 'not checked',
  held_if_acts: 'held only if',
  moves: 'moves',
  holds: 'holds',
}

/** One row of the checks. */
export interface Row {
  key: string
  standing: Standing
  /** What it is about: "connector 6", "rope one or rope two lost". */
  subject: string
  detail: string
  /** Parts or hands it names, for the drawing. */
  ids: string[]
  /** What acceptances of it would name: each check that falls short or is not checked; none for losses. */
  accept: string[]
  /** What marks it as lost on the drawing: a part's id, or a hand's with its mode. */
  lose: string | null
}

/** How a lost thing is named to the program: hands are lost in one of two ways, a common cause by its own id. */
export function lostName(loss: Pick<LossFinding, 'lost' | 'mode' | 'group'>): string | null {
  // A check stored before its id was kept names no common cause.
  if (loss.mode === 'common_cause') return loss.group ?? null
  const [id, ...others] = loss.lost
  if (id === undefined || others.length > 0) return null
  return loss.mode === 'part' ? id : `${id}:${loss.mode}`
}

/** The findings of one state; `null` when the check did not look at it. */
export function findingsOf(report: CheckReport, state: string): StateFindings | null {
  if (report.state === state) return report
  return report.other_states.find((s) => s.state === state) ?? null
}

const acceptable = (verdict: Verdict): boolean => verdict !== 'holds'

function partRow(part: PartFinding): Row {
  const short = part.verdict === 'falls_short'
  const needs = part.required === null ? '' : `, needs ${marginWords(part.required)}`
  const numbers = part.margin === null ? forceWords(part.force_kN) : marginWords(part.margin) + needs
  return {
    key: `part ${part.id}`,
    standing: part.verdict,
    subject: part.label,
    detail: short ? `${numbers}; ${part.words}` : part.words || numbers,
    ids: [part.id],
    accept: acceptable(part.verdict) ? [part.id] : [],
    lose: null,
  }
}

function lossStanding(loss: LossFinding): Standing {
  if (loss.verdict === 'held') return loss.moves ? 'moves' : 'holds'
  return loss.verdict
}

function lossRow(loss: LossFinding): Row {
  const weakest =
    loss.weakest === null ? '' : `; weakest then ${loss.weakest.label}, ${marginWords(loss.weakest.margin)}`
  return {
    key: `loss ${loss.mode} ${loss.lost.join(' ')}`,
    standing: lossStanding(loss),
    subject: loss.label,
    detail: loss.words + weakest,
    ids: loss.lost,
    accept: [],
    lose: lostName(loss),
  }
}

/** Rules; one that names critical parts is accepted part by part. */
function ruleRows(f: StateFindings): Row[] {
  // A rule is applied to each thing it is about: its id alone does not tell the rows apart.
  return f.checks.map((c, at) => ({
    key: `rule ${c.id} ${at}`,
    standing: c.verdict,
    subject: c.rule,
    detail: c.found,
    ids: c.id === NO_CRITICAL ? [...f.critical_parts, ...f.unknown_parts] : [],
    accept: !acceptable(c.verdict) ? [] : c.id === NO_CRITICAL ? [c.id, ...f.critical_parts] : [c.id],
    lose: null,
  }))
}

const NO_CRITICAL = 'no_single_critical_part'
const HANDS_OFF = 'hands_off'

function handsOffRow(f: StateFindings): Row {
  const v = f.hands_off
  return {
    key: 'hands off',
    standing: v.verdict === 'holds' && v.moves ? 'moves' : v.verdict,
    subject: 'hands-off test',
    detail: v.words,
    ids: [],
    accept: acceptable(v.verdict) ? [HANDS_OFF] : [],
    lose: null,
  }
}

/** "No single critical part" may be said only when none is critical and none is unknown. */
function criticalRow(f: StateFindings): Row {
  const critical = f.critical_parts.length
  const unknown = f.unknown_parts.length
  const standing: Standing = critical > 0 ? 'falls_short' : unknown > 0 ? 'not_checked' : 'holds'
  const names = (critical > 0 ? f.critical_parts : f.unknown_parts).map((id) => labelOf(f, id))
  const counted = critical === 1 ? '1 critical part' : `${critical} critical parts`
  const subject =
    critical > 0 ? counted : unknown > 0 ? 'whether a single part is critical' : 'no single critical part'
  return {
    key: 'critical',
    standing,
    subject,
    detail: standing === 'holds' ? '' : names.join(', '),
    ids: critical > 0 ? f.critical_parts : f.unknown_parts,
    accept: f.critical_parts,
    lose: null,
  }
}

/** What a wearer cannot double is dropped by its loss in every rig: named, apart from what this rig does. */
function alwaysRow(f: StateFindings): Row | null {
  const lost = f.losses.filter((l) => isAlways(f, l))
  const worst = lost.map(lossStanding).sort((a, b) => ORDER.indexOf(a) - ORDER.indexOf(b))[0]
  if (worst === undefined) return null
  return {
    key: 'always critical',
    standing: worst,
    subject: `always critical: ${lost.map((l) => l.label).join(', ')}`,
    detail: 'what a wearer cannot double; in every rig',
    ids: f.always_critical,
    accept: [],
    lose: null,
  }
}

const isAlways = (f: StateFindings, loss: LossFinding): boolean =>
  loss.lost.length > 0 && loss.lost.every((id) => f.always_critical.includes(id))

/** Name of a part or hand of the rig; its id in words when no finding names it. */
export function labelOf(f: StateFindings, id: string): string {
  const part = f.parts.find((p) => p.id === id)
  if (part !== undefined) return part.label
  const alone = f.losses.find((l) => l.lost.length === 1 && l.lost[0] === id)
  return alone?.label ?? id.replaceAll('_', ' ')
}

/** Rows that say the same of several things become one: "rope one, rope two". */
function joined(rows: Row[]): Row[] {
  const out = new Map<string, Row>()
  for (const row of rows) {
    const key = `${row.standing} ${row.detail}`
    const before = out.get(key)
    if (before === undefined) out.set(key, row)
    else
      out.set(key, {
        ...before,
        subject: `${before.subject}, ${row.subject}`,
        ids: [...before.ids, ...row.ids],
        accept: [...before.accept, ...row.accept],
      })
  }
  return [...out.values()]
}

/** Every finding of a state: departures worst first, then what holds. Nothing is left out. */
export function rowsOf(f: StateFindings): { departures: Row[]; holds: Row[] } {
  const said = (id: string): boolean => f.checks.some((c) => c.id === id)
  const all = [
    ...(said(NO_CRITICAL) ? [] : [criticalRow(f)]),
    ...(said(HANDS_OFF) ? [] : [handsOffRow(f)]),
    ...ruleRows(f),
    ...joined(f.parts.filter((p) => p.verdict !== 'holds').map(partRow)),
    ...joined(f.losses.filter((l) => !isAlways(f, l)).map(lossRow)),
    ...f.parts.filter((p) => p.verdict === 'holds').map(partRow),
    ...[alwaysRow(f)].filter((row) => row !== null),
  ]
  const rank = (row: Row): number => ORDER.indexOf(row.standing)
  const departures = all.filter((r) => r.standing !== 'holds').sort((a, b) => rank(a) - rank(b))
  return { departures, holds: all.filter((r) => r.standing === 'holds') }
}

/** Pairs that say the same are one line: any of these, lost with any of those. */
export function pairGroups(f: StateFindings): { any: string[]; with: string[] }[] {
  const partners = new Map<string, string[]>()
  for (const [a, b] of f.critical_pairs) {
    partners.set(a, [...(partners.get(a) ?? []), b])
    partners.set(b, [...(partners.get(b) ?? []), a])
  }
  const alike = new Map<string, string[]>()
  for (const [id, others] of partners) {
    const key = [...others].sort().join(' ')
    alike.set(key, [...(alike.get(key) ?? []), id])
  }
  const out: { any: string[]; with: string[] }[] = []
  const named = new Set<string>()
  for (const any of alike.values()) {
    const others = partners.get(any[0] ?? '') ?? []
    const [one, two] = [[...any].sort().join(' '), [...others].sort().join(' ')]
    if (!named.has(`${two}|${one}`)) out.push({ any: any.map((id) => labelOf(f, id)), with: others.map((id) => labelOf(f, id)) })
    named.add(`${one}|${two}`)
  }
  return out
}
