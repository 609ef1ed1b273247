// People of the invented operation: what the steps about them do to the view.
import type { Step } from '../steps'
import type { PersonView } from '../wire/PersonView'
import type { Slot } from '../wire/Slot'
import type { WatchView } from '../wire/WatchView'
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

const WHY = 'common practice, no source'
export const ACT = 'stop; call on the other channel, then by whistle and hand; move again only after a radio check'
const GET_DOWN = 'get them down: some bear only 4 min (NIOSH 2008), a fifth faint within 10 (UK HSE 2008)'
const GUIDANCE =
  'rescue wanted before 5 to 30 min; median tolerance 29 min (chest) and 31 min (back), shortest 4 and 5 min: NIOSH, Suspension Tolerance in a Full-Body Safety Harness, 2008. Sources differ: pre-syncope in a fifth within 10 min and in most within 1 h, UK HSE first-aid advice 2008 (review RR708, 2009); afterwards lie them flat, ordinary ABC; raise the legs if release takes long (UK HSE 2008; many older notes still say keep seated: the two conflict)'

/** Silences as they are counted down: whoever has said nothing to a call. */
export function silences(slots: Slot[]): WatchView[] {
  return slots
    .filter((slot) => slot.state === 'waiting')
    .map(({ short, since_ms }) => ({
      id: 'lost_communications',
      who: short,
      since_ms,
      due_ms: since_ms + 60_000,
      seq: 1,
      words: `nothing heard from ${short}`,
      then: ACT,
      why: WHY,
    }))
}

/** Clocks over their limit, for a picture of each. */
export function watching(kinds: string[], now: number): WatchView[] {
  const all: WatchView[] = [
    { id: 'motionless_in_harness', who: 'Aksel Thorne', since_ms: now - 403_000, due_ms: now - 103_000, seq: 1, words: 'Aksel Thorne hangs and is not heard of; may be motionless', then: GET_DOWN, why: GUIDANCE },
    { id: 'lost_communications', who: 'rope two', since_ms: now - 72_000, due_ms: now - 12_000, seq: 1, words: 'nothing heard from rope two', then: ACT, why: WHY },
    { id: 'not_heard', who: 'Gil Ferro', since_ms: now - 660_000, due_ms: now - 60_000, seq: 1, words: 'Gil Ferro not heard of', then: 'the guidelines say 10 min', why: WHY },
    { id: 'on_rope_long', who: 'Aksel Thorne', since_ms: now - 3_700_000, due_ms: now - 100_000, seq: 1, words: 'Aksel Thorne on rope', then: 'the guidelines say 60 min', why: WHY },
  ]
  return all.filter((one) => kinds.includes(one.id))
}
