// A correction is a new entry that names the old one and the fields that change.
import { correct } from '../steps'
import type { Candidate } from '../wire/Candidate'
import type { LineRow } from '../wire/LineRow'
import type { View } from '../wire/View'
import { causeOf, moment } from '../words'

/** The field of an entry that its words stand for. */
const FIELDS: Record<string, string> = {
  order: 'text',
  readback: 'text',
  answer: 'text',
  report: 'text',
  signal: 'text',
  note: 'text',
  hazard: 'text',
  patient: 'text',
  benchmark: 'name',
}

const SAID = new Set(['order', 'readback', 'answer', 'report', 'signal'])

/** What of an entry can be corrected in the line; null when it is not words (a check, a signature). */
export function fieldOf(row: LineRow): { name: string; value: string } | null {
  // A stop stays a stop whatever its words become: what can be put right is its cause.
  if (row.kind === 'order' && row.side === 'across') return { name: 'cause', value: causeOf(row.text) }
  const name = FIELDS[row.kind]
  return name ? { name, value: row.text } : null
}

const LATE = /^(?:-(\d+)\s*(s|m|h)|(\d{1,2}):(\d{2})(?::(\d{2}))?)(?:\s+|$)/
const UNIT_MS: Record<string, number> = { s: 1000, m: 60_000, h: 3_600_000 }
const DAY_MS = 86_400_000
const METRES = /(\d+(?:\.\d+)?)\s*m(?:etres?)?\b/i

/** What the clock on the wall shows: what people say goes by it. */
const wallNow = (view: View): number => view.now_ms + view.clock.to_wall_ms

/** The moment a line begins with (`14:02`, `-2m`), before `row` or before now, and what follows it. */
export function timeOf(line: string, view: View): { ms: number | null; rest: string } {
  const found = LATE.exec(line)
  if (!found) return { ms: null, rest: line }
  const rest = line.slice(found[0].length)
  const [, count, unit, hours, minutes, seconds] = found
  if (count !== undefined && unit !== undefined) return { ms: wallNow(view) - Number(count) * (UNIT_MS[unit] ?? 0), rest }
  if (Number(hours) > 23 || Number(minutes) > 59 || Number(seconds ?? 0) > 59) return { ms: null, rest: line }
  const offset = view.clock.offset_min * 60_000
  const midnight = Math.floor((wallNow(view) + offset) / DAY_MS) * DAY_MS - offset
  const ms = midnight + ((Number(hours) * 60 + Number(minutes)) * 60 + Number(seconds ?? 0)) * 1000
  // A time of the evening that is written after midnight was yesterday.
  return { ms: ms > wallNow(view) + 60_000 ? ms - DAY_MS : ms, rest }
}

/** What the words in the line would change of `row`, likeliest first. */
export function changesOf(row: LineRow, line: string, view: View): Candidate[] {
  const field = fieldOf(row)
  if (!field) return []
  const { ms, rest } = timeOf(line.trim(), view)
  const words = rest.trim()
  const fields: Record<string, unknown> = {}
  if (ms !== null) fields['happened'] = moment(ms, view.clock.offset_min)
  const named = SAID.has(row.kind) ? view.roles.find((role) => role.code === words.toLowerCase()) : undefined
  if (named) fields['from'] = named.role
  else if (words && words !== field.value) fields[field.name] = words
  if (row.kind === 'report' && METRES.test(words) && METRES.test(field.value) && fields['text'] !== undefined) {
    fields['metres'] = Number(METRES.exec(words)?.[1])
  }
  const said = named ? `said by ${named.short}` : words || field.value
  const first: Candidate = {
    who: `correct ${row.time}${ms === null ? '' : ` to ${moment(ms, view.clock.offset_min).slice(11, 19)}`}:`,
    text: Object.keys(fields).length === 0 ? 'nothing changes' : said,
    step: { ...correct(row.id, fields) },
    doubt: '',
  }
  return [first, ...(SAID.has(row.kind) ? saidBy(row, view) : [])]
}

/** The roles that may have said it instead, by their keys. */
function saidBy(row: LineRow, view: View): Candidate[] {
  return view.roles
    .filter((role) => (role.needed || role.person !== null) && !row.who.startsWith(role.short))
    .map((role) => ({
      who: `${role.code}`,
      text: `said by ${role.short}`,
      step: { ...correct(row.id, { from: role.role }) },
      doubt: '',
    }))
}
