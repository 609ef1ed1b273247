import type { LineRow } from '../../wire/LineRow'
import type { View } from '../../wire/View'
import { lasted, plain } from '../../words'
import type { Entry } from './entries'

const SHORT: Record<string, string> = { under_load_test: 'load test' }

/** Words of a motion on the line ("load test"). */
export const motionWord = (motion: string): string => SHORT[motion] ?? plain(motion)

/**
 * "lowering 1:31" where a motion begins, and how long it lasted or lasts; empty where none begins.
 * A change of speed is no new motion. `ahead` are rows after the shown ones.
 */
export function lastingOf(entries: Entry[], index: number, ahead: LineRow[], view: View, nowMs: number): string {
  const entry = entries[index]
  if (!entry || entry.side === 'across' || entry.motion === null) return ''
  const before = entries[index - 1]?.rope
  if (before === entry.rope) return ''
  const ends = (later: LineRow): boolean => later.rope !== entry.rope
  const next = entries.slice(index + 1).find(ends) ?? ahead.find(ends)
  const word = motionWord(entry.rope)
  if (next) return `${word} ${lasted(next.at_ms - entry.at_ms)}`
  const still = view.motion.motion === entry.rope && entry.at_ms >= view.motion.since_ms - 1000
  return still ? `${word} ${lasted(nowMs - entry.at_ms)}` : word
}
