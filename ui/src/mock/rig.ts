// The rig of the invented operation, and what the steps about it do.
import type { Step } from '../steps'
import type { ParameterView } from '../wire/ParameterView'
import type { RigDrawing } from '../wire/RigDrawing'
import type { RigView } from '../wire/RigView'
import type { TemplateView } from '../wire/TemplateView'
import type { Trouble } from '../wire/Trouble'
import { drawn, MOCK_CHECK } from './check'

const number = (name: string, label: string, unit: string, own: string, low: string, high: string): ParameterView => ({
  name,
  label,
  unit,
  default: own + unit,
  low: low + unit,
  high: high + unit,
  choices: [],
})
const choice = (name: string, label: string, choices: string[]): ParameterView => ({
  name,
  label,
  unit: '',
  default: choices[0] ?? '',
  low: '',
  high: '',
  choices,
})

const LOWER = [
  number('load', 'Load, all that hangs below', 'kg', '250', '50', '600'),
  number('edge_height', 'Edge over the ground', 'm', '14', '1', '300'),
  number('v_angle', 'V angle, included', 'deg', '60', '10', '150'),
  number('rope_length', 'Length of each rope', 'm', '60', '5', '400'),
  number('rope_diameter', 'Rope diameter', 'mm', '11', '9', '13'),
  number('share', 'Share of rope one, most', '', '0.7', '0.5', '1'),
  number('edge_friction', 'Edge, tension ratio', '', '1.48', '1', '4'),
  choice('anchor_one', 'Anchor west', ['two bolts', 'tree', 'boulder', 'not rated']),
  choice('anchor_two', 'Anchor east', ['not rated', 'two bolts', 'tree', 'boulder']),
]

export const MOCK_TEMPLATES: TemplateView[] = [
  {
    name: 'twin-lower-two-knots',
    title: 'Twin lower, two focal knots',
    about: 'Two ropes, two self-closing devices side by side, handles open; one V of four legs on two anchors.',
    parameters: LOWER,
  },
  {
    name: 'twin-lower-one-knot',
    title: 'Twin lower, one focal knot',
    about: 'The same on a single focal knot: the knot is critical.',
    parameters: LOWER,
  },
  {
    name: 'raise-3-to-1-and-belay',
    title: 'Raise 3:1 and belay',
    about: 'A 3:1 with progress capture on rope one, rope two as belay.',
    parameters: [...LOWER.slice(0, 5), number('haulers', 'Haulers', '', '4', '1', '12')],
  },
]

/** What stands, or what is left; ids of hands carry how they are lost ("tailer:freezes_on"). */
export const mockRigDrawing = (lost?: string): RigDrawing => drawn(lost?.split(':')[0])

/** A preview, or what is wrong with a value, as the program would say it. */
export function mockPreview(template: string, set: Record<string, string>): RigDrawing {
  const known = MOCK_TEMPLATES.find((t) => t.name === template)
  for (const p of known?.parameters ?? []) {
    const value = set[p.name]
    if (value === undefined || p.choices.length > 0) continue
    const amount = Number.parseFloat(value)
    const bad = !value.endsWith(p.unit) || !(amount >= Number.parseFloat(p.low) && amount <= Number.parseFloat(p.high))
    if (bad) {
      const trouble: Trouble = {
        code: 'bad_value',
        what: `“${value}” does not fit ${p.label.toLowerCase()}`,
        where: p.name,
        remedy: `write it like ${p.default}, from ${p.low} to ${p.high}`,
      }
      throw trouble
    }
  }
  return mockRigDrawing()
}

export class MockRig {
  view: RigView | null = null
  names: string[] = []
  #seq = 0

  /** What a step about the rig does to it; `seq` is its entry. */
  apply(step: Step, seq: number, time: string): void {
    if (step.do === 'rig') this.#enter(step)
    const rig = this.view
    if (!rig) return
    if (step.do === 'use') this.view = { ...rig, name: step.rig, state: step.state ?? rig.state }
    else if (step.do === 'check') this.#check(rig, seq, time)
    else if (step.do === 'sign') {
      const signature = { role: step.role, person: step.person, time, covers: this.#seq, stale: false }
      this.view = { ...rig, signatures: [...rig.signatures.filter((s) => s.role !== step.role), signature] }
    } else if (step.do === 'accept') {
      this.view = { ...rig, accepted: [...rig.accepted, `${step.check}: ${step.person}, “${step.reason}”`] }
    }
  }

  #enter(step: Step & { do: 'rig' }): void {
    const template = MOCK_TEMPLATES.find((t) => t.name === step.template)
    if (!this.names.includes(step.name)) this.names = [...this.names, step.name]
    this.view = {
      name: step.name,
      title: template?.title ?? step.template,
      template: step.template,
      set: step.set,
      states: [
        ['load_test', 'load test'],
        ['lowering', 'lower'],
        ['tied_off', 'tied off'],
      ],
      state: 'lowering',
      check: this.view?.check ?? null,
      check_seq: this.view?.check_seq ?? null,
      check_time: this.view?.check_time ?? null,
      stale: true,
      signatures: (this.view?.signatures ?? []).map((s) => ({ ...s, stale: true })),
      accepted: [],
    }
  }

  #check(rig: RigView, seq: number, time: string): void {
    this.#seq = seq
    this.view = { ...rig, check: MOCK_CHECK, check_seq: seq, check_time: time, stale: false }
  }
}
