// What people can be called and what can be said: other scripts, pictures, no end, what a terminal obeys, what a page would.
import type { Step } from '../steps'
import type { MockBridge } from './bridge'

export const RIGHT_TO_LEFT = 'يوسف بن حداد'
export const PICTURES = '🧗‍♀️ Ana 🪢👨‍👩‍👧‍👦'
export const NO_END = 'Llan'.repeat(125)
export const CONTROLS = 'Eve\u202Etxet\u0007\u001b[31m \u0000Marn\u2028x'
export const MARKUP = '<img src=x onerror=alert(1)>&lt;b&gt;'

const NAMES: [name: string, role: string, zone: 'on_rope' | 'edge' | 'drop' | 'clear'][] = [
  [RIGHT_TO_LEFT, 'control', 'clear'],
  [NO_END, 'litter attendant', 'on_rope'],
  [PICTURES, 'edge attendant', 'edge'],
  [CONTROLS, 'rope two operator', 'clear'],
  [MARKUP, 'haul team', 'drop'],
]

/** Has all of it said and done. */
export function unruly(bridge: MockBridge): void {
  const texts = NAMES.map(([name]) => name)
  const steps: Step[] = [
    ...NAMES.flatMap(([person, role, zone]): Step[] => [
      { do: 'check_in', person, qualifications: [MARKUP] },
      { do: 'assign', role, person },
      { do: 'zone', person, zone },
    ]),
    ...texts.map((text): Step => ({ do: 'report', from: 'edge attendant', text })),
    ...texts.map((text): Step => ({ do: 'order', from: 'control', to: ['rope one operator'], text })),
    ...texts.map((text): Step => ({ do: 'report', from: text, text: 'here' })),
    { do: 'note', from: 'scribe', text: `weather: ${NO_END}` },
    { do: 'hazard', text: NO_END, control: RIGHT_TO_LEFT },
    { do: 'patient', mark: 'vitals', vitals: NO_END },
    { do: 'patient', mark: 'vitals', vitals: `${RIGHT_TO_LEFT} 92` },
    { do: 'order', from: texts[4] ?? '', to: ['all'], text: 'stop', cause: NO_END },
  ]
  steps.forEach((step, i) => void bridge.invoke('act', { step, key: `unruly ${i}` }))
}
