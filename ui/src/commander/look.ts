// The look of the commander's window: the scribe's until its own was chosen, at it or by the scribe's key.
import { type Look, LOOKS } from '../state/place.svelte'

const OWN = 'ledgebook-look-commander'
const SCRIBES = 'ledgebook-look'

const known = (word: string | null): Look | undefined => LOOKS.find((look) => look === word)

/** The look that is kept for it. */
export function keptLook(): Look {
  try {
    return known(localStorage.getItem(OWN)) ?? known(localStorage.getItem(SCRIBES)) ?? 'day'
  } catch {
    return 'day'
  }
}

/** The look after `now`, kept for it. */
export function nextLook(now: Look = keptLook()): Look {
  const next = LOOKS[(LOOKS.indexOf(now) + 1) % LOOKS.length] ?? 'day'
  try {
    localStorage.setItem(OWN, next)
  } catch {
    // It is only not remembered.
  }
  return next
}
