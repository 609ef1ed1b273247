// The keys that mean the same on every screen. Esc is STOP, everywhere, always.
import type { Screen } from '../state/place.svelte'

export type Command =
  | { do: 'stop' }
  | { do: 'order'; key: string }
  | { do: 'repeat' }
  | { do: 'keys' }
  | { do: 'doctor' }
  | { do: 'screen'; screen: Screen }
  | { do: 'look' }
  /** Which part of the line is shown; again: all of it. */
  | { do: 'part' }
  /** The change-over's list, or the keys again. */
  | { do: 'change_over' }
  /** The commander's window: opened and closed, or its next look. */
  | { do: 'commander'; look: boolean }
  | { do: 'report' }
  /** Keeps the key from the window system and means nothing. */
  | { do: 'nothing' }

export interface Stroke {
  key: string
  code?: string
  ctrlKey?: boolean
  altKey?: boolean
  metaKey?: boolean
  shiftKey?: boolean
  repeat?: boolean
}

const SCREEN_KEYS: Record<string, Screen> = { 1: 'size-up', 2: 'team', 3: 'rig', 4: 'calls', 5: 'review' }
const ORDER_KEY = /^F([2-9]|1[01])$/

/** An input method may hide the key's name; its place on the keyboard still says Esc. */
const isEscape = ({ key, code }: Stroke): boolean =>
  key === 'Escape' || key === 'Esc' || (code === 'Escape' && (key === 'Process' || key === 'Unidentified'))

/** The command of a key stroke, if it is one on every screen. */
export function commandOf(stroke: Stroke): Command | null {
  if (isEscape(stroke)) return stroke.repeat ? { do: 'nothing' } : { do: 'stop' }
  const { key, ctrlKey, altKey, metaKey, repeat } = stroke
  if (altKey || metaKey) return null
  if (ctrlKey) {
    // On some layouts the digit needs Shift: its place counts then.
    const digit = /^\d$/.test(key) ? key : (/^(?:Digit|Numpad)(\d)$/.exec(stroke.code ?? '')?.[1] ?? '')
    const screen = SCREEN_KEYS[digit]
    if (screen) return { do: 'screen', screen }
    if (digit === '0') return repeat ? { do: 'nothing' } : { do: 'look' }
    if (key.toLowerCase() === 'p') return repeat ? { do: 'nothing' } : { do: 'report' }
    if (key.toLowerCase() === 'b') return repeat ? { do: 'nothing' } : { do: 'commander', look: stroke.shiftKey === true }
    if (key.toLowerCase() === 'o') return repeat ? { do: 'nothing' } : { do: 'change_over' }
    if (key.toLowerCase() === 'f') return repeat ? { do: 'nothing' } : { do: 'part' }
    if (key.toLowerCase() === 'd') return repeat ? { do: 'nothing' } : { do: 'doctor' }
    return null
  }
  if (key === 'F1') return repeat ? { do: 'nothing' } : { do: 'keys' }
  if (key === 'F12') return repeat ? { do: 'nothing' } : { do: 'repeat' }
  if (ORDER_KEY.test(key)) return repeat ? { do: 'nothing' } : { do: 'order', key }
  return null
}
