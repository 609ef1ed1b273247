import type { PersonView } from '../../wire/PersonView'
import type { RoleView } from '../../wire/RoleView'

/** Where along the rope someone is; `out` is checked out. */
export type Zone = 'clear' | 'edge' | 'on_rope' | 'drop' | 'out'

/** A row of the team: a person, or a role that this rig asks for and nobody has. */
export type Row =
  | { kind: 'person'; key: string; person: PersonView }
  | { kind: 'vacant'; key: string; role: RoleView }

/** The people of one zone, from the top of the rope down. */
export interface Band {
  zone: Zone
  name: string
  count: string
  rows: Row[]
}

const NAMES: Record<Zone, string> = {
  clear: 'Clear',
  edge: 'Edge zone',
  on_rope: 'On rope',
  drop: 'Drop zone',
  out: 'Checked out',
}

/** Row keys hang on the name, so that the choice stays with the person when he moves. */
export const personKey = (person: string): string => `person ${person}`
export const roleKey = (role: string): string => `role ${role}`

/** "no one", "1 person", "8 people". */
export function countWords(n: number): string {
  return n === 0 ? 'no one' : n === 1 ? '1 person' : `${n} people`
}

function zoneOf(person: PersonView): Zone {
  if (person.out_ms !== null) return 'out'
  switch (person.zone) {
    case 'edge':
    case 'on_rope':
    case 'drop':
      return person.zone
    default:
      return 'clear'
  }
}

/** Roles that this rig and motion ask for and nobody has. */
export function vacancies(roles: RoleView[]): RoleView[] {
  return roles.filter((r) => r.needed && r.person === null)
}

/**
 * The zones along the rope in their fixed order. People keep the order in which they came, so that
 * a row never changes its place because a role or a clock changed; vacant roles close the first zone.
 */
export function bands(people: PersonView[], roles: RoleView[]): Band[] {
  const zones: Zone[] = ['clear', 'edge', 'on_rope', 'drop', 'out']
  return zones
    .map((zone) => {
      const here = people.filter((p) => zoneOf(p) === zone)
      const rows: Row[] = here.map((person) => ({ kind: 'person', key: personKey(person.person), person }))
      if (zone === 'clear') {
        for (const role of vacancies(roles)) rows.push({ kind: 'vacant', key: roleKey(role.role), role })
      }
      return { zone, name: NAMES[zone], count: countWords(here.length), rows }
    })
    .filter((band) => band.zone !== 'out' || band.rows.length > 0)
}

/** People who are here, wherever they are. */
export function present(people: PersonView[]): PersonView[] {
  return people.filter((p) => p.out_ms === null)
}

const fold = (text: string): string => text.trim().toLowerCase()

function mayDo(person: PersonView, role: RoleView): boolean {
  return person.qualifications.some((q) => fold(q) === fold(role.role) || fold(q) === fold(role.short))
}

/**
 * Who could take a vacant role at one touch: someone here, clear of the edge and without a role,
 * first whoever is qualified for it in so many words. Nobody is offered who has another job.
 */
export function candidateFor(role: RoleView, people: PersonView[]): PersonView | null {
  const free = people.filter((p) => zoneOf(p) === 'clear' && p.roles.length === 0)
  return free.find((p) => mayDo(p, role)) ?? free[0] ?? null
}

/** A move of a person to a zone, with its key. */
export interface Move {
  key: string
  zone: Exclude<Zone, 'out'>
  label: string
}

export const MOVES: readonly Move[] = [
  { key: 'c', zone: 'clear', label: 'clear of edge' },
  { key: 'e', zone: 'edge', label: 'edge zone' },
  { key: 'r', zone: 'on_rope', label: 'on rope' },
  { key: 'd', zone: 'drop', label: 'drop zone' },
]

/** The move a letter asks for; `s` and `t` (standing by, top) are the same as `c` while the record knows one clear zone. */
export function moveOf(key: string): Move | null {
  const asked = key === 't' || key === 's' ? 'c' : key
  return MOVES.find((m) => m.key === asked) ?? null
}

/** Roles that answer to what was typed: exact code first, then short name or name from its start, then any word. */
export function matchRoles(typed: string, roles: RoleView[]): RoleView[] {
  const t = fold(typed)
  const vacantFirst = [...roles].sort((a, b) => weight(a) - weight(b))
  if (t === '') return vacantFirst
  const code = roles.filter((r) => fold(r.code) === t)
  const start = vacantFirst.filter((r) => fold(r.role).startsWith(t) || fold(r.short).startsWith(t))
  const word = vacantFirst.filter((r) => fold(r.role).split(' ').some((w) => w.startsWith(t)))
  return [...new Set([...code, ...start, ...word])]
}

function weight(role: RoleView): number {
  if (role.person !== null) return 2
  return role.needed ? 0 : 1
}

/** Names that answer to what was typed, from the start of any of their words. */
export function matchNames(typed: string, names: string[]): string[] {
  const t = fold(typed)
  if (t === '') return names
  return names.filter((n) => fold(n).startsWith(t) || fold(n).split(/\s+/).some((w) => w.startsWith(t)))
}

/** "rescue technician, edge" → its parts, empty ones left out. */
export function listOf(text: string): string[] {
  return text
    .split(/[,;]/)
    .map((part) => part.trim())
    .filter((part) => part !== '')
}
