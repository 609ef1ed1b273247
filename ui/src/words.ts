// Times, counts and names as the screens say them.
import type { RoleView } from './wire/RoleView'
import type { RollCallView } from './wire/RollCallView'

/** Hours from which on minutes and seconds are left out: nobody reads them any more, and they have no room. */
const LONG_H = 100

/** "2:06", "1:02:06", "126 h": how long, in whole seconds. Never negative. */
export function lasted(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000))
  const minutes = Math.floor(s / 60) % 60
  const hours = Math.floor(s / 3600)
  const two = (n: number): string => String(n).padStart(2, '0')
  if (hours >= LONG_H) return `${hours} h`
  return hours > 0 ? `${hours}:${two(minutes)}:${two(s % 60)}` : `${minutes}:${two(s % 60)}`
}

/** "13:31:46", local to the operation whatever this machine's zone is. */
export function clockTime(ms: number, offsetMin: number): string {
  return new Date(ms + offsetMin * 60_000).toISOString().slice(11, 19)
}

/** "2026-05-14T13:31:46+02:00": a moment as the record writes it. */
export function moment(ms: number, offsetMin: number): string {
  const sign = offsetMin < 0 ? '-' : '+'
  const size = Math.abs(offsetMin)
  const two = (n: number): string => String(n).padStart(2, '0')
  const local = new Date(ms + offsetMin * 60_000).toISOString().slice(0, 19)
  return `${local}${sign}${two(Math.floor(size / 60))}:${two(size % 60)}`
}

/** "under load test" from `under_load_test`. */
export const plain = (id: string): string => id.replaceAll('_', ' ')

/** "Under load test": the first letter large. */
export const headed = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)

/** "1 person", "3 people". */
export const people = (n: number): string => (n === 1 ? '1 person' : `${n} people`)

/** "rope one" for "rope one operator", by the guidelines' short names; "all" stays. */
export function shortRole(role: string, roles: RoleView[]): string {
  return roles.find((known) => known.role === role)?.short ?? role
}

/** "12", "0.4": metres without a tail of zeros. */
export const metres = (m: number): string => String(Math.round(m * 10) / 10)

/** The words of a stop after "stop" itself: its cause. */
export const causeOf = (text: string): string => text.replace(/^stop\b[\s,:;.]*/i, '')

/** "roll call 3:12 ago, 5 of 5", "roll call 3:12 ago, silent: rope two". */
export function rolled({ text, at_ms, of, silent }: RollCallView, nowMs: number): string {
  const named = silent.slice(0, 2).join(', ')
  const more = silent.length > 2 ? ` and ${silent.length - 2} more` : ''
  const what = silent.length > 0 ? `silent: ${named}${more}` : `${of} of ${of}`
  return `${/roll call/i.test(text) ? 'roll call' : /radio check/i.test(text) ? 'radio check' : 'ready?'} ${lasted(nowMs - at_ms)} ago, ${what}`
}

/** "0:29 h": how long in a role. */
export function hoursOn(ms: number): string {
  const minutes = Math.max(0, Math.floor(ms / 60_000))
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')} h`
}
