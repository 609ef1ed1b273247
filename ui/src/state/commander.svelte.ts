// The commander's window, as the scribe's opens and closes it.
import * as api from '../api'
import { nextLook } from '../commander/look'
import type { Trouble } from '../wire/Trouble'

export class Commander {
  open = $state(false)
  /** Why it did not open or close. */
  trouble = $state.raw<Trouble | null>(null)

  async toggle(): Promise<void> {
    try {
      this.open = await api.commanderWindow()
      this.trouble = null
    } catch (error) {
      this.trouble = api.asTrouble(error, 'the commander’s window')
    }
  }

  /** Its next look, by the scribe's key: it takes no keys of its own. */
  nextLook(): void {
    nextLook()
  }

  /** Hears when it was closed by its own button, until the answer is called. */
  listen(): () => void {
    const gone = (): void => {
      this.open = false
    }
    globalThis.addEventListener('ledgebook-commander-gone', gone)
    return () => globalThis.removeEventListener('ledgebook-commander-gone', gone)
  }
}

export const commander = new Commander()
