// Times, counts and names as the screens say them.
import type { RoleView } from './wire/RoleView'

/** "2:06", "1:02:06": how long, in whole seconds. Never negative. */
export function lasted(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000))
  const minutes = Math.floor(s / 60) % 60
  const hours = Math.floor(s / 3600)
  const two = (n: number): string => String(n).padStart(2, '0')
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
