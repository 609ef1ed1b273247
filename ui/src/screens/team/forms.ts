import type { PersonView } from '../../wire/PersonView'
import type { RoleView } from '../../wire/RoleView'
import type { Option } from '../parts/Pick.svelte'
import { matchNames, matchRoles, present } from './bands'

/** The form that stands in the side panel, if one does. */
export type TeamForm =
  | { kind: 'check_in' }
  | { kind: 'check_out'; person: PersonView }
  | { kind: 'role'; person: PersonView }
  | { kind: 'fill'; role: RoleView }
  | { kind: 'hand_over'; person: PersonView }
  | { kind: 'zone'; person: PersonView; zone: 'edge' | 'on_rope' }
  | { kind: 'par' }

/** What a form hands to its owner when it has recorded: words for the last line, and whether to stay. */
export interface Done {
  words: string
  /** The form stays for the next one (people check in one after the other). */
  stay?: boolean
  /** Row to choose next. */
  select?: string
}

/** Roles as options: who has them now stands beside. */
export function roleOptions(roles: RoleView[]): (typed: string) => Option[] {
  return (typed) =>
    matchRoles(typed, roles).map((r) => ({
      value: r.role,
      label: r.role,
      code: r.code,
      note: r.person ?? (r.needed ? 'vacant, asked for' : ''),
    }))
}

/** People here as options: free ones first, their roles beside. */
export function peopleOptions(people: PersonView[], except: string[] = []): (typed: string) => Option[] {
  const here = present(people).filter((p) => !except.includes(p.person))
  const ordered = [...here.filter((p) => p.roles.length === 0), ...here.filter((p) => p.roles.length > 0)]
  return (typed) =>
    matchNames(typed, ordered.map((p) => p.person)).map((name) => {
      const person = here.find((p) => p.person === name)
      return { value: name, label: name, note: person ? person.roles.join(', ') || person.qualifications.join(', ') : '' }
    })
}
