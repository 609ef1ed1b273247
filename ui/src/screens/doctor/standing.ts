// How a finding stands, as shape and word.

const UNKNOWN = { mark: 'not_checked', words: 'not checked' }
const STANDINGS: Record<string, { mark: string; words: string }> = {
  trouble: { mark: 'falls_short', words: 'trouble' },
  look: { mark: 'zone', words: 'look' },
  not_checked: UNKNOWN,
  in_order: { mark: 'holds', words: 'in order' },
}

/** Worst first. */
export const ORDER = Object.keys(STANDINGS)

/** What is not known is not checked. */
export const standingOf = (standing: string): { mark: string; words: string } => STANDINGS[standing] ?? UNKNOWN
