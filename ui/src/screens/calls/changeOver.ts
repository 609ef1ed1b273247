// The keys of the change-over's list.
import type { Step } from '../../steps'
import type { DoesView } from '../../wire/DoesView'

/** A line's key: 1 to 9, then 0. More lines are met by touch. */
export const keyOf = (line: number): string => (line < 9 ? String(line + 1) : line === 9 ? '0' : '')

/** The line of a key, if there is one. */
export function lineOf(key: string, lines: number): number | null {
  if (!/^\d$/.test(key)) return null
  const line = key === '0' ? 9 : Number(key) - 1
  return line < lines ? line : null
}

/** A second press of the same line this soon is the same press: cold keys bounce, and the line may have changed under it. */
const BOUNCE_MS = 300

export const isBounce = (pressed: { line: string; at: number }, line: string, now: number): boolean =>
  pressed.line === line && now - pressed.at < BOUNCE_MS

const SAID = ['order', 'report', 'answer']

/** What a key records; a call goes by the channel that is chosen. */
export function stepOf(does: DoesView, by: string): Step {
  const step = does.step as unknown as Step
  return SAID.includes(step.do) ? { ...step, by } : step
}
