// People of the invented operation: what the steps about them do to the view.
import type { Step } from '../steps'
import type { PersonView } from '../wire/PersonView'
import type { Slot } from '../wire/Slot'
import { lasted } from '../words'
import { OPENED_MS, PEOPLE } from './story'

/** Who had come by `untilS` seconds from the opening, and where they were. */
export function peopleAt(untilS: number): PersonView[] {
  return PEOPLE.filter((one) => one.inS <= untilS).map((one) => {
    const moved = one.zone && one.zone[0] <= untilS ? one.zone : null
    return {
      person: one.person,
      agency: null,
      roles: one.role ? [one.role] : [],
      qualifications: one.can,
      zone: moved?.[1] ?? 'clear',
      in_ms: OPENED_MS + one.inS * 1000,
      out_ms: null,
      zone_ms: OPENED_MS + (moved?.[0] ?? one.inS) * 1000,
      heard_ms: OPENED_MS + Math.max(one.inS, untilS - 60) * 1000,
      note: '',
      mark: '',
    }
  })
}

/** The people after a step about them; others leave them as they are. */
export function afterStep(people: PersonView[], step: Step, now: number): PersonView[] {
  const change = (name: string, to: (one: PersonView) => Partial<PersonView>): PersonView[] =>
    people.map((one) => (one.person === name ? { ...one, ...to(one) } : one))
  switch (step.do) {
    case 'check_in':
      return [...people.filter((one) => one.person !== step.person), newcomer(step, now)]
    case 'check_out':
      return change(step.person, () => ({ out_ms: now, roles: [], zone: 'clear' }))
    case 'zone':
      return change(step.person, () => ({ zone: step.zone, zone_ms: now, note: step.tied_in ? 'tied in' : '' }))
    case 'relieve':
      return change(step.person, (one) => ({ roles: one.roles.filter((held) => held !== step.role) }))
    case 'assign':
      return people.map((one) => {
        const others = one.roles.filter((held) => held !== step.role)
        return { ...one, roles: one.person === step.person ? [...others, step.role] : others }
      })
    default:
      return people
  }
}

function newcomer(step: Step & { do: 'check_in' }, now: number): PersonView {
  return {
    person: step.person,
    agency: step.agency ?? null,
    roles: [],
    qualifications: step.qualifications ?? [],
    zone: 'clear',
    in_ms: now,
    out_ms: null,
    zone_ms: now,
    heard_ms: now,
    note: '',
    mark: '',
  }
}

/** Notes and marks as they stand: silence, a wrong readback, someone below while the load moves. */
export function noted(people: PersonView[], slots: Slot[], motion: string, now: number): PersonView[] {
  return people.map((one) => {
    const slot = slots.find((s) => one.roles.includes(s.role))
    if (slot?.state === 'wrong') return { ...one, note: 'wrong readback', mark: 'wrong' }
    const late = slot !== undefined && now - slot.since_ms > slot.limit_s * 1000
    if (slot && late) return { ...one, note: `silent ${lasted(now - slot.since_ms)}`, mark: 'silent' }
    if (one.zone === 'drop' && motion === 'lowering') return { ...one, note: 'while lowering', mark: 'zone' }
    return one
  })
}
