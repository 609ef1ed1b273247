import { describe, expect, it } from 'vitest'
import { commandOf, type Command, type Stroke } from '../src/keys/keymap'

const CASES: [string, Stroke, Command | null][] = [
  ['Esc is STOP', { key: 'Escape' }, { do: 'stop' }],
  ['Esc with Ctrl is STOP', { key: 'Escape', ctrlKey: true }, { do: 'stop' }],
  ['Esc with Alt is STOP', { key: 'Escape', altKey: true }, { do: 'stop' }],
  ['Esc is STOP in an input method', { key: 'Process', code: 'Escape' }, { do: 'stop' }],
  ['a held Esc is one STOP', { key: 'Escape', repeat: true }, { do: 'nothing' }],
  ['a key in the place of Esc that says otherwise is not STOP', { key: 'CapsLock', code: 'Escape' }, null],
  ['F1 is the key map', { key: 'F1' }, { do: 'keys' }],
  ['F2 orders', { key: 'F2' }, { do: 'order', key: 'F2' }],
  ['F11 orders', { key: 'F11' }, { do: 'order', key: 'F11' }],
  ['a held order is one order', { key: 'F2', repeat: true }, { do: 'nothing' }],
  ['F12 repeats', { key: 'F12' }, { do: 'repeat' }],
  ['Alt F4 is the window system’s', { key: 'F4', altKey: true }, null],
  ['Ctrl 1', { key: '1', ctrlKey: true }, { do: 'screen', screen: 'size-up' }],
  ['Ctrl 5', { key: '5', ctrlKey: true }, { do: 'screen', screen: 'review' }],
  ['Ctrl 4 where digits need Shift', { key: "'", code: 'Digit4', ctrlKey: true }, { do: 'screen', screen: 'calls' }],
  ['Ctrl 0 is the next look', { key: '0', ctrlKey: true }, { do: 'look' }],
  ['Ctrl P is the report', { key: 'P', ctrlKey: true }, { do: 'report' }],
  ['a letter is the free line’s', { key: 'e' }, null],
  ['a digit is the free line’s', { key: '2' }, null],
  ['Enter is the free line’s', { key: 'Enter' }, null],
]

describe('keys that mean the same on every screen', () => {
  it.each(CASES)('%s', (_words, stroke, command) => {
    expect(commandOf(stroke)).toEqual(command)
  })
})
