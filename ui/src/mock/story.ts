// An invented operation for a plain browser: people, place and numbers are nobody's.
import type { Step } from '../steps'

/** Seconds from the opening, and what was recorded then. */
export type Told = [number, Step]

export const OPENED_MS = Date.parse('2026-05-14T13:02:00+02:00')
export const OFFSET_MIN = 120
/** When the story is looked at: 29 min 46 s in. */
export const NOW_S = 29 * 60 + 46

export const PEOPLE: { person: string; role: string | null; inS: number; can: string[]; zone?: [number, string] }[] = [
  { person: 'Ilse Brandt', role: 'incident commander', inS: 0, can: ['command'] },
  { person: 'Marek Duval', role: 'control', inS: 73, can: ['control', 'rigging'] },
  { person: 'Signe Aho', role: 'rope one operator', inS: 454, can: ['operator'] },
  { person: 'Teodor Łukasik', role: 'rope two operator', inS: 454, can: ['operator'] },
  { person: 'Pia Renner', role: 'rigging lead', inS: 75, can: ['rigging'] },
  { person: 'Ruben Castell', role: 'safety officer', inS: 78, can: ['safety'] },
  { person: 'Wanda Ek', role: 'scribe', inS: 20, can: ['scribe'] },
  { person: 'Jo Marsh', role: null, inS: 164, can: ['tailer', 'haul team'] },
  { person: 'Nina Vogel', role: 'edge attendant', inS: 80, can: ['edge'], zone: [1231, 'edge'] },
  { person: 'Aksel Thorne', role: 'litter attendant', inS: 80, can: ['litter'], zone: [1400, 'on_rope'] },
  { person: 'Patient 1', role: null, inS: 1395, can: [], zone: [1400, 'on_rope'] },
  { person: 'Gil Ferro', role: null, inS: 140, can: ['ground'], zone: [1714, 'drop'] },
]

export const ROLES: { role: string; short: string; code: string; needed: boolean }[] = [
  { role: 'control', short: 'control', code: 'c', needed: true },
  { role: 'rope one operator', short: 'rope one', code: '1', needed: true },
  { role: 'rope two operator', short: 'rope two', code: '2', needed: true },
  { role: 'tailer', short: 'tailer', code: 't', needed: true },
  { role: 'edge attendant', short: 'edge attendant', code: 'e', needed: true },
  { role: 'litter attendant', short: 'litter attendant', code: 'l', needed: true },
  { role: 'haul team', short: 'haul team', code: 'h', needed: false },
  { role: 'rigging lead', short: 'rigging lead', code: 'r', needed: true },
  { role: 'safety officer', short: 'safety officer', code: 's', needed: true },
  { role: 'scribe', short: 'scribe', code: 'sc', needed: true },
  { role: 'incident commander', short: 'commander', code: 'ic', needed: true },
]

const ONE = 'rope one operator'
const TWO = 'rope two operator'
const EDGE = 'edge attendant'
const LITTER = 'litter attendant'
const BOTH = [ONE, TWO]

const order = (to: string[], text: string, from = 'control'): Step => ({ do: 'order', from, to, text, by: 'radio 2' })
const back = (from: string, text: string): Step => ({ do: 'readback', from, of: 'latest', text })
const says = (from: string, text: string): Step => ({ do: 'report', from, text })

export const STORY: Told[] = [
  [30, { do: 'note', from: 'scribe', text: 'channel: radio 2' }],
  [41, { do: 'note', from: 'scribe', text: 'weather: dry, light wind from the west' }],
  [50, { do: 'note', from: 'scribe', text: 'light: until 20:50' }],
  [66, { do: 'note', from: 'scribe', text: 'objective: one walker on a ledge, ankle, 14 m below the edge' }],
  [70, { do: 'hazard', text: 'loose rock above the ledge', control: 'edge attendant clears it first' }],
  [520, { do: 'rig', name: 'lower', template: 'twin-lower-two-knots', set: { load: '250kg', edge_height: '14m' } }],
  [560, { do: 'check' }],
  [600, { do: 'sign', role: 'rigging lead', person: 'Pia Renner' }],
  [880, order(BOTH, 'tension')],
  [883, back(ONE, 'tension')],
  [885, back(TWO, 'tension')],
  [980, says('safety officer', 'partner checks done')],
  [1022, order(['all'], 'PAR')],
  [1046, { do: 'par', count: 12, of: 12 }],
  [1078, order(BOTH, 'load test')],
  [1080, back(ONE, 'load test')],
  [1081, back(TWO, 'load test')],
  [1170, says('rigging lead', 'load test good')],
  [1184, order(['all'], 'roll call')],
  [1198, says('all', 'ready, 5 of 5')],
  [1236, order([LITTER], 'to the edge')],
  [1238, back(LITTER, 'to the edge')],
  [1310, says(EDGE, 'edge clear')],
  [1326, order(BOTH, 'lower slow')],
  [1328, back(ONE, 'lower slow')],
  [1330, back(TWO, 'lower slow')],
  [1400, says(LITTER, 'over the edge')],
  [1421, order(BOTH, 'lower')],
  [1423, back(ONE, 'lower')],
  [1424, back(TWO, 'lower')],
  [1480, { do: 'report', from: LITTER, text: '2 metres', metres: 2 }],
  [1512, { do: 'order', from: EDGE, to: ['all'], text: 'stop', cause: 'rope two off the roller' }],
  [1513, says(ONE, 'stopped')],
  [1516, says(TWO, 'stopped')],
  [1622, says(EDGE, 'rope one back on, clear')],
  [1635, order(['all'], 'roll call')],
  [1644, says('all', 'ready, 5 of 5')],
  [1660, order(BOTH, 'lower')],
  [1661, back(ONE, 'lower')],
  [1663, back(TWO, 'lower')],
  [1745, { do: 'report', from: LITTER, text: '9 metres', metres: 9 }],
  [1750, order([EDGE], 'edge clear?')],
  [1760, order(BOTH, 'slow')],
  [1762, back(ONE, 'slow')],
  [1764, back(TWO, 'raise slow')],
]
