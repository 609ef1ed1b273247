// Where the scribe is: the screen, the look, and whether the free line is shown on top of it.

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

class Place {
  screen = $state<Screen>('calls')
  look = $state<Look>(rememberedLook())
  /** The key map is shown over the screen. */
  keyMap = $state(false)
  /** The doctor is shown over the screen. */
  doctor = $state(false)
  /** After STOP the free line stands on every screen, until it has been used. */
  line = $state(false)
  /** Counts the wishes for the focus of the free line; its input follows. */
  wantLine = $state(1)
  #given = 0

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
    if (screen === 'calls') this.wantLine += 1
  }

  toggleKeys(): void {
    this.keyMap = !this.keyMap
    this.doctor = false
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
