// What the check of the invented rig found: shaped like the program's answer, numbers invented.
import type { CheckReport } from '../wire/CheckReport'
import type { LossFinding } from '../wire/LossFinding'
import type { PartFinding } from '../wire/PartFinding'
import type { StateFindings } from '../wire/StateFindings'

type Told = [id: string, label: string, kind: string, high: number | null, strength: number | null, words: string]

const PARTS: Told[] = [
  ['anchor_west', 'anchor west, two bolts', 'anchor', 1.8, 25, 'two bolts, 25 kN each by test'],
  ['anchor_east', 'anchor east, tree', 'anchor', 1.8, null, 'no published rating'],
  ['leg_1a', 'V leg 1a, cord 8 mm', 'cord leg', 1.33, 12.2, 'cord 8 mm; knot 0.6'],
  ['leg_1b', 'V leg 1b, sling', 'sling', 0.77, 22, 'EN 566, 22 kN'],
  ['leg_2a', 'V leg 2a, sling', 'sling', 1.33, 22, 'EN 566, 22 kN'],
  ['leg_2b', 'V leg 2b, sling', 'sling', 0.77, 22, 'EN 566, 22 kN'],
  ['focal_1', 'focal knot 1', 'focal knot', 1.56, 17.1, 'knot 0.66'],
  ['focal_2', 'focal knot 2', 'focal knot', 1.56, 17.1, 'knot 0.66'],
  ['device_1', 'device 1', 'descent control device', 1.56, 16, 'EN 12841 C, from memory'],
  ['device_2', 'device 2', 'descent control device', 1.56, 16, 'EN 12841 C, from memory'],
  ['edge_lip', 'edge lip', 'edge lip', 1.72, null, 'cut strength unknown'],
  ['rope_one', 'rope one, 11 mm', 'rope', 1.72, 20, 'EN 1891 A, 22 kN; end knot 0.66'],
  ['rope_two', 'rope two, 11 mm', 'rope', 1.72, 20, 'EN 1891 A, 22 kN; end knot 0.66'],
  ['ring_1', 'bridle ring 1', 'bridle ring', 1.72, 22, 'EN 362, 22 kN'],
  ['ring_2', 'bridle ring 2', 'bridle ring', 1.72, 22, 'EN 362, 22 kN'],
]
const REQUIRED = 10
const CONTRACT = 'EN and ISO values as printed in the catalogue; knots from a published summary'

function part([id, label, kind, high, strength, words]: Told, share = 1): PartFinding {
  const force = high === null ? null : high * share
  const margin = force === null || strength === null || force === 0 ? null : strength / force
  const verdict = force === 0 ? 'holds' : margin === null ? 'not_checked' : margin < REQUIRED ? 'falls_short' : 'holds'
  const high2 = force?.toFixed(2) ?? '?'
  return {
    id,
    kind,
    label,
    force_kN: force === null ? null : { low: force * 0.6, nominal: force * 0.72, high: force },
    strength_kN: strength,
    margin,
    required: REQUIRED,
    verdict,
    words,
    source: strength === null ? 'none: the team’s own value may be entered' : CONTRACT,
    how:
      strength === null || margin === null
        ? ['load 250 kg × 9.80665 m/s² = 2.45 kN', `its share, high: ${high2} kN`, 'no strength to divide by']
        : [
            'load 250 kg × 9.80665 m/s² = 2.45 kN',
            `share 0.7 at most: 2.45 kN × 0.7 = 1.72 kN`,
            `over the V: ${high2} kN in this part`,
            `margin ${strength} kN ÷ ${high2} kN = ${margin.toFixed(2)}`,
          ],
  }
}

/** Findings of the parts, whole or after the loss of one rope system. */
export function parts(lost?: string): PartFinding[] {
  if (lost === undefined) return PARTS.map((told) => part(told))
  const line = lost.endsWith('2') || lost.endsWith('two') || lost.startsWith('leg_2') ? /_2|_two/ : /_1|_one/
  const share = (id: string): number => (line.test(id) ? 0 : id.startsWith('anchor') || id === 'edge_lip' ? 1 : 1.43)
  return PARTS.map((told) => part(told, share(told[0])))
}

const OTHER = { one: 'rope two operator', two: 'rope one operator' }

function loss(lost: string, label: string, mode: LossFinding['mode'], verdict: LossFinding['verdict'], words: string): LossFinding {
  const acts = verdict === 'held_if_acts' ? [lost.includes('two') || lost.endsWith('2') ? OTHER.two : OTHER.one] : []
  const weakest = verdict === 'dropped' ? null : { id: 'rope_two', label: 'rope two, 11 mm', margin: 8.1 }
  const path = PARTS.map(([id]) => id).filter((id) => parts(lost).some((p) => p.id === id && (p.force_kN?.high ?? 0) > 0))
  return { lost: [lost], label, mode, verdict, moves: verdict === 'moves', words, acts, weakest, path }
}

export function losses(): LossFinding[] {
  const one = PARTS.filter(([id]) => /_1|_one/.test(id) && !id.startsWith('leg'))
  const two = PARTS.filter(([id]) => /_2|_two/.test(id) && !id.startsWith('leg'))
  return [
    loss('edge', 'edge cuts both ropes', 'common_cause', 'dropped', 'nothing is left that holds the load'),
    loss('anchor_east', 'anchor east, tree', 'part', 'not_checked', 'the survivor is not rated'),
    loss('anchor_west', 'anchor west, two bolts', 'part', 'not_checked', 'the survivor is not rated'),
    loss('rope_one_operator', 'rope one operator freezes on', 'freezes_on', 'held_if_acts', 'held only if rope two operator releases'),
    loss('rope_two_operator', 'rope two operator freezes on', 'freezes_on', 'held_if_acts', 'held only if rope one operator releases'),
    ...one.map(([id, label]) => loss(id, label, 'part', 'held_if_acts', 'held only if rope two operator releases')),
    ...two.map(([id, label]) => loss(id, label, 'part', 'held_if_acts', 'held only if rope one operator releases')),
    loss('leg_1a', 'V leg 1a, cord 8 mm', 'part', 'moves', 'held by leg 1b after a swing'),
    loss('leg_2a', 'V leg 2a, sling', 'part', 'moves', 'held by leg 2b after a swing'),
    loss('rope_one_operator', 'rope one operator hand off', 'hand_off', 'held', 'both devices close'),
    loss('rope_two_operator', 'rope two operator hand off', 'hand_off', 'held', 'both devices close'),
  ]
}

function state(id: string): StateFindings {
  return {
    state: id,
    parts: parts(),
    critical_parts: [],
    unknown_parts: ['anchor_east', 'anchor_west'],
    always_critical: ['bridle', 'litter', 'patient_tie_in', 'harness'],
    critical_pairs: [
      ['rope_one', 'rope_two'],
      ['focal_1', 'focal_2'],
      ['device_1', 'device_2'],
    ],
    hands_off: { verdict: 'holds', moves: false, words: 'both devices close by themselves' },
    losses: losses(),
    checks: [
      { id: 'fall', verdict: 'not_checked', rule: 'how far a loss drops the load', found: 'not computed yet', source: 'none' },
      { id: 'rope_long_enough', verdict: 'holds', rule: 'ropes reach the ground', found: '60 m for 14 m and 4 m above the edge', source: 'geometry' },
      { id: 'rope_fits_device', verdict: 'holds', rule: 'ropes fit the devices', found: '11 mm in 10 to 11.5 mm', source: 'the makers’ instructions' },
    ],
    residual_n: 1e-9,
  }
}

export const CAUTION =
  'Decision support only. Local rules, the makers’ instructions and a qualified rigger come first.'

export const MOCK_CHECK: CheckReport = {
  format: 'ledgebook-check/0',
  engine: '0.1.0',
  rig_digest: '5d2f',
  guidelines_digest: '90ab',
  verdict: 'falls_short',
  ...state('lowering'),
  other_states: [state('load_test'), state('tied_off')],
  assumptions: [
    'share of each rope 0.5 (0.3 to 0.7), assumption',
    'edge friction ratio 1.48 (1.1 to 2.6), assumption',
    'required margin 10 : 1, common practice, no source',
  ],
  caution: CAUTION,
}
