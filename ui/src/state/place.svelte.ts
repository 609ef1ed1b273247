// Where the scribe is: the screen, the look, and whether the free line is shown on top of it.
import { tick } from 'svelte'

export const SCREENS = ['size-up', 'team', 'rig', 'calls', 'review'] as const
export type Screen = (typeof SCREENS)[number]

export const LOOKS = ['day', 'night', 'sun'] as const
export type Look = (typeof LOOKS)[number]

const LOOK_KEY = 'ledgebook-look'

function rememberedLook(): Look {
  try {
    const kept = localStorage.getItem(LOOK_KEY)
    return LOOKS.find((look) => look === kept) ?? 'day'
  } catch {
    return 'day'
  }
}

type Focused = { element: HTMLElement; testid: string | undefined }

function focused(): Focused | null {
  const element = document.activeElement
  return element instanceof HTMLElement && element !== document.body ? { element, testid: element.dataset['testid'] } : null
}

function elementOf({ element, testid }: Focused): HTMLElement | null {
  if (element.isConnected) return element
  return testid ? document.querySelector<HTMLElement>(`[data-testid="${CSS.escape(testid)}"]`) : null
}

class Place {
  screen = $state<Screen>('calls')
  look = $state<Look>(rememberedLook())
  /** The key map is shown over the screen. */
  keyMap = $state(false)
  /** The doctor is shown over the screen. */
  doctor = $state(false)
  /** On Calls the keys give their place to the choice of a part of the line. */
  parting = $state(false)
  /** On Calls the keys give their place to the change-over's list. */
  changing = $state(false)
  /** After STOP the free line stands on every screen, until it has been used. */
  line = $state(false)
  /** Counts the wishes for the focus of the free line; its input follows. */
  wantLine = $state(1)
  #given = 0
  /** What had the focus when the keys were opened. */
  #before: Focused | null = null

  /** Whether the free line was wished for since it was last asked; reading it answers the wish. */
  takesFocus(): boolean {
    const wanted = this.wantLine !== this.#given
    this.#given = this.wantLine
    return wanted
  }

  go(screen: Screen): void {
    this.screen = screen
    this.keyMap = false
    this.doctor = false
    this.line = false
    this.parting = false
    this.changing = false
    if (screen === 'calls') this.wantLine += 1
  }

  /** F1. The focus comes back to where it was when the keys are closed. */
  toggleKeys(): void {
    if (this.keyMap) return this.closeKeys()
    this.#before = focused()
    this.keyMap = true
    this.doctor = false
  }

  /** The screen was taken away while the keys were shown: what had the focus is found again by its id. */
  closeKeys(): void {
    this.keyMap = false
    void tick().then(() => {
      const back = this.#before && elementOf(this.#before)
      this.#before = null
      if (back) back.focus()
      else if (this.screen === 'calls') this.wantLine += 1
    })
  }

  toggleDoctor(): void {
    this.doctor = !this.doctor
    this.keyMap = false
  }

  nextLook(): void {
    const next = LOOKS[(LOOKS.indexOf(this.look) + 1) % LOOKS.length] ?? 'day'
    this.setLook(next)
  }

  setLook(look: Look): void {
    this.look = look
    document.documentElement.dataset['look'] = look
    try {
      localStorage.setItem(LOOK_KEY, look)
    } catch {
      // The look is only not remembered.
    }
  }

  focusLine(): void {
    this.line = true
    this.wantLine += 1
  }
}

export const place = new Place()
