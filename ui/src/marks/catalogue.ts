// The marks and patterns as the drawings have them: the report prints the very same.
import type { DisplayList } from '../wire/DisplayList'
import catalogue from '../wire/marks.json'

const ALL = catalogue as unknown as Record<string, DisplayList>

/** Names the program uses beside the drawings' own. */
const SAME: Record<string, string> = { held: 'holds', held_if_acts: 'held_only_if', corrected: 'correction', waiting: 'silent' }

export const markDrawing = (name: string): DisplayList | undefined => ALL[`mark/${SAME[name] ?? name}`]

/** One repeat of a motion's pattern, time running down; a motion it does not know is a plain rope. */
export function patternTile(motion: string, slow: boolean): DisplayList {
  const tile =
    (slow ? ALL[`pattern/${motion}_slow/down`] : undefined) ?? ALL[`pattern/${motion}/down`] ?? ALL['pattern/at_rest/down']
  if (!tile) throw new Error('ui/src/wire/marks.json has no patterns')
  return tile
}

export const MARK_NAMES = Object.keys(ALL)
  .filter((id) => id.startsWith('mark/'))
  .map((id) => id.slice('mark/'.length))

/** Words of marks, read aloud where no word stands beside them. */
export const MARK_WORDS: Record<string, string> = {
  holds: 'holds',
  held: 'held',
  good: 'within the guidelines',
  falls_short: 'falls short',
  overloaded: 'overloaded',
  dropped: 'dropped',
  not_checked: 'not checked',
  critical: 'critical',
  departs: 'departs from the guidelines',
  held_if_acts: 'held only if',
  held_only_if: 'held only if',
  moves: 'moves',
  silent: 'silent',
  waiting: 'waiting',
  wrong: 'wrong readback',
  stop: 'stop',
  late: 'late entry',
  correction: 'correction',
  corrected: 'corrected',
  vacant: 'vacant',
  zone: 'zone',
  stale: 'signature stale',
  saved: 'saved',
  writing: 'writing',
  not_saved: 'not saved',
  lost: 'lost',
}
