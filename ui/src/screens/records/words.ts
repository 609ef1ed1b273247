import type { Records } from '../../wire/Records'

/** “2.5 h”, “40 min”. */
export function hours(seconds: number): string {
  const minutes = Math.round(seconds / 60)
  return minutes < 60 ? `${minutes} min` : `${(seconds / 3600).toFixed(1)} h`
}

/** What was asked for and how much was found. */
export function asked(words: string, found: Records | null): string {
  if (!found) return ''
  if (words === '') return `${counted(found.operations.length, 'operation', 'operations')} in ${found.folder}`
  const more = found.more_hits > 0 ? `, ${found.more_hits} more that are not listed` : ''
  return `“${words}”: ${counted(found.hits.length, 'entry', 'entries')}${more}`
}

/** “1 stop”, “3 stops”. */
export const counted = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`
