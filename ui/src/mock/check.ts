// What the check of the invented rig found: shaped like the program's answer, numbers invented.
import fixture from './fixtures/rig.json'
import type { CheckReport } from '../wire/CheckReport'
import type { LossFinding } from '../wire/LossFinding'
import type { PartFinding } from '../wire/PartFinding'
import type { RigDrawing } from '../wire/RigDrawing'
import type { StateFindings } from '../wire/StateFindings'

/** Drawn by the program itself, whole and with rope one lost. */
const DRAWN = fixture as unknown as { drawing: RigDrawing; lost: Record<string, RigDrawing> }

const told = (part: PartFinding): PartFinding => ({
  ...part,
  source: part.strength_kN === null ? 'none: the team’s own value may be entered' : 'as printed in the catalogue',
  how: [
    'load 250 kg × 9.80665 m/s² = 2.45 kN',
    'share 0.7 at most: 2.45 kN × 0.7 = 1.72 kN',
    part.margin === null
      ? 'no strength to divide by'
      : `margin ${part.strength_kN ?? ''} kN ÷ ${part.force_kN?.high ?? ''} kN = ${part.margin}`,
  ],
})

/** The drawing, or what is left of the load path when something is lost; `loss` is null when nothing was computed. */
export function drawn(lost?: string): RigDrawing {
  const drawing = (lost === undefined ? undefined : DRAWN.lost[lost]) ?? DRAWN.drawing
  return { ...drawing, parts: drawing.parts.map(told) }
}

export const PARTS: PartFinding[] = drawn().parts

const OTHER = { one: 'rope two operator', two: 'rope one operator' }

function loss(lost: string, label: string, mode: LossFinding['mode'], verdict: LossFinding['verdict'], words: string): LossFinding {
  const acts = verdict === 'held_if_acts' ? [lost.includes('two') || lost.endsWith('2') ? OTHER.two : OTHER.one] : []
  const weakest = verdict === 'dropped' ? null : { id: 'rope_2', label: 'rope two, 11 mm', margin: 8.3 }
  return { lost: [lost], label, mode, verdict, moves: verdict === 'moves', words, acts, weakest, path: [] }
}

export function losses(): LossFinding[] {
  const of = (end: RegExp): PartFinding[] => PARTS.filter(({ id }) => end.test(id) && !id.startsWith('leg'))
  const releases = (one: PartFinding, who: string): LossFinding =>
    loss(one.id, one.label, 'part', 'held_if_acts', `held only if ${who} releases the handle`)
  return [
    loss('edge', 'edge cuts both ropes', 'common_cause', 'dropped', 'nothing is left that holds the load'),
    loss('east', 'anchor east, tree', 'part', 'not_checked', 'the survivor is not rated'),
    loss('west', 'anchor west, two bolts', 'part', 'not_checked', 'the survivor is not rated'),
    loss('rope_one_operator', 'rope one operator freezes on', 'freezes_on', 'held_if_acts', 'held only if rope two operator releases the handle'),
    loss('rope_two_operator', 'rope two operator freezes on', 'freezes_on', 'held_if_acts', 'held only if rope one operator releases the handle'),
    ...of(/_1$/).map((one) => releases(one, OTHER.one)),
    ...of(/_2$/).map((one) => releases(one, OTHER.two)),
    loss('leg_1a', 'V leg 1a, cord 8 mm', 'part', 'moves', 'held by leg 1b after a swing'),
    loss('leg_2a', 'V leg 2a, sling', 'part', 'moves', 'held by leg 2b after a swing'),
    loss('rope_one_operator', 'rope one operator hand off', 'hand_off', 'held', 'both devices close'),
    loss('rope_two_operator', 'rope two operator hand off', 'hand_off', 'held', 'both devices close'),
  ]
}

function state(id: string): StateFindings {
  return {
    state: id,
    parts: PARTS,
    critical_parts: [],
    unknown_parts: ['east', 'west'],
    always_critical: ['bridle', 'litter', 'patient_tie_in', 'harness'],
    critical_pairs: [
      ['rope_1', 'rope_2'],
      ['knot_1', 'knot_2'],
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
