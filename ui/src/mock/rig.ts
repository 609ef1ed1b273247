// The rig of the invented operation, and what the steps about it do.
import type { Step } from '../steps'
import type { DraftPart } from '../wire/DraftPart'
import type { Edit } from '../wire/Edit'
import type { PartKind } from '../wire/PartKind'
import type { RigDraft } from '../wire/RigDraft'
import type { RigDrawing } from '../wire/RigDrawing'
import type { RigView } from '../wire/RigView'
import type { SumAnswer } from '../wire/SumAnswer'
import type { SumView } from '../wire/SumView'
import type { TemplateView } from '../wire/TemplateView'
import type { Trouble } from '../wire/Trouble'
import { plain } from '../words'
import { drawn, MOCK_CHECK, MOCK_OF, MOCK_SET, MOCK_STATES } from './check'
import templates from './fixtures/templates.json'

/** As the program lists them. */
export const MOCK_TEMPLATES: TemplateView[] = templates

/** What stands, or what is left; ids of hands carry how they are lost ("tailer:freezes_on"). */
export const mockRigDrawing = (lost?: string): RigDrawing => drawn(lost?.split(':')[0])

/** A preview, or what is wrong with a value, as the program would say it. */
export function mockPreview(template: string, set: Record<string, string>): RigDrawing {
  const known = MOCK_TEMPLATES.find((t) => t.name === template)
  for (const p of known?.parameters ?? []) {
    const value = set[p.name]
    if (value === undefined || p.choices.length > 0) continue
    const amount = Number.parseFloat(value)
    const unit = p.low.replace(/^[\d.]+/, '')
    const bad = !value.endsWith(unit) || !(amount >= Number.parseFloat(p.low) && amount <= Number.parseFloat(p.high))
    if (bad) {
      const trouble: Trouble = {
        code: 'bad_value',
        what: `“${value}” does not fit: ${p.label}`,
        where: p.name,
        remedy: `write it like ${p.default}, from ${p.low} to ${p.high}`,
      }
      throw trouble
    }
  }
  return mockRigDrawing()
}

/** The rig after edits: names and ratings follow, forces stay as they are. */
export function mockDraft(edits: Edit[], lost?: string): RigDraft {
  const drawing = mockRigDrawing(lost)
  const gone = new Set(edits.flatMap((e) => (e.edit === 'remove' ? [e.id] : [])))
  const bad = edits.findIndex((e) => e.edit === 'part' && e.set.rating !== null && e.set.rating !== '' && !/^\d+(\.\d+)?kN$/.test(e.set.rating))
  if (bad >= 0) {
    const trouble: Trouble = { code: 'bad_rig', what: 'no number with a unit', where: `edit ${bad + 1}: rating`, remedy: 'write it like 22kN' }
    throw trouble
  }
  const parts = drawing.parts
    .filter((p) => !gone.has(p.id))
    .map((p): DraftPart => {
      const sets = edits.flatMap((e) => (e.edit === 'part' && e.id === p.id ? [e.set] : []))
      const last = <K extends 'label' | 'rating' | 'rated_by'>(key: K): string | undefined =>
        sets.map((s) => s[key]).findLast((v) => v !== null) ?? undefined
      const kind = (p.kind === 'focal knot' ? 'focal_knot' : p.kind === 'connector' ? 'connector' : p.kind === 'anchor' ? 'anchor' : p.kind === 'rope' ? 'rope' : 'sling') as PartKind
      return {
        id: p.id,
        label: last('label') ?? p.label,
        kind,
        at: [`at_${p.id}`],
        rating: last('rating') ?? (p.strength_kN === null ? '' : `${p.strength_kN}kN`),
        rated_by: last('rated_by') ?? '',
        weakened_by: [],
        classes: kind === 'connector' ? [{ id: 'EN 362 Q', label: 'screw link, EN 362 class Q, 25 kN' }] : [],
        material: null,
        loading: null,
        slack: '',
        gear: null,
        purpose: null,
        class: null,
        rated_load: '',
        state: null,
        efficiency: '',
        length_m: kind === 'connector' ? 0.15 : null,
        angle_deg: kind === 'focal_knot' ? 60 : null,
        is_device: false,
      }
    })
  const points = parts.map((p) => ({ id: `at_${p.id}`, label: p.label, x_m: 0, y_m: 20 }))
  const { assumptions } = MOCK_CHECK
  return {
    drawing,
    changes: edits.map(changeWords),
    findings: MOCK_CHECK,
    assumptions,
    falls_short: 2,
    not_checked: 3,
    critical: [],
    parts,
    points,
    ropes: [],
    hands: ['tailer', 'rope_one_operator'].map((id) => ({ id, role: plain(id), task: 'tailer', works: ['rope_one'], people: 1 })),
    groups: [],
    load_kg: 240,
    edge_height_m: 14,
    below: [],
    rig: { edited: edits },
  }
}

/** As the program says what differs, in short. */
function changeWords(edit: Edit): string {
  switch (edit.edit) {
    case 'part':
      return `${plain(edit.id)}: rated ${edit.set.rating ?? ''}, was not rated`
    case 'remove':
      return `${plain(edit.id)} taken out`
    case 'add_tie':
    case 'add_anchor':
      return `${edit.label} put in`
    default:
      return plain(edit.edit)
  }
}

/** Two sums, to look at the page of working figures. */
export const MOCK_SUMS: SumView[] = [
  {
    name: 'leg-share',
    title: 'Two equal legs',
    fields: [
      { name: 'load', label: 'Load, a force or a mass', like: '2kN or 200kg', choices: [] },
      { name: 'angle', label: 'Angle', like: '90deg', choices: [] },
      {
        name: 'angle_from',
        label: 'Angle taken',
        like: '',
        choices: [
          ['included', 'between the legs (included)'],
          ['vertical', 'from the vertical'],
        ],
      },
    ],
  },
  {
    name: 'span',
    title: 'Taut rope',
    fields: [{ name: 'load', label: 'Load, a force or a mass', like: '2kN or 200kg', choices: [] }],
  },
]

/** The sum of two equal legs, in kN and degrees. */
export function mockSum(set: Record<string, string>): SumAnswer {
  const bad = Object.entries({ load: 'kN', angle: 'deg' }).find(([name, unit]) => !set[name]?.endsWith(unit))
  if (bad) {
    const trouble: Trouble = { code: 'bad_argument', what: `“${set[bad[0]] ?? ''}” is not a number with a unit`, where: bad[0], remedy: `write it like 2${bad[1]}` }
    throw trouble
  }
  const half = (Number.parseFloat(set['angle'] ?? '') / (set['angle_from'] === 'vertical' ? 1 : 2) / 180) * Math.PI
  return {
    results: [
      { name: 'each leg', value: Number.parseFloat(set['load'] ?? '') / (2 * Math.cos(half)), unit: 'kN' },
      { name: 'angle of each leg from the vertical', value: (half / Math.PI) * 180, unit: 'deg' },
    ],
    method: 'load / (2 cos φ), φ of each leg from the vertical',
    source: 'balance of forces at the knot',
    notes: ['90° read as between the legs (included); from the horizontal there would be no answer'],
    caution: '',
  }
}

export class MockRig {
  view: RigView | null = null
  names: string[] = []
  #seq = 0

  /** What a step about the rig does to it; `seq` is its entry. */
  apply(step: Step, seq: number, time: string): void {
    if (step.do === 'rig') this.#enter(step, seq, time)
    const rig = this.view
    if (!rig) return
    if (step.do === 'use') this.view = { ...rig, name: step.rig, state: step.state ?? rig.state, instead_of: null }
    else if (step.do === 'check') this.#check(rig, seq, time)
    else if (step.do === 'sign') {
      const signature = { role: step.role, person: step.person, time, covers: this.#seq, stale: false }
      this.view = { ...rig, signatures: [...rig.signatures.filter((s) => s.role !== step.role), signature] }
    } else if (step.do === 'accept') {
      this.view = { ...rig, accepted: [...rig.accepted, `${step.check}: ${step.person}, “${step.reason}”`] }
    }
  }

  #enter(step: Step & { do: 'rig' }, seq: number, time: string): void {
    const whole = 'rig' in step
    const name = whole ? '' : step.template
    const template = MOCK_TEMPLATES.find((t) => t.name === name)
    if (!this.names.includes(step.name)) this.names = [...this.names, step.name]
    const was = this.view
    const other = was !== null && was.name !== step.name
    const state = MOCK_STATES.find(([id]) => id === was?.state)?.[1] ?? ''
    this.view = {
      instead_of: other ? { rig: was.instead_of?.rig ?? was.name, state, time, seq } : null,
      name: step.name,
      title: whole ? (this.view?.title ?? step.name) : (MOCK_OF.title ?? template?.title ?? name),
      template: whole ? null : name,
      set: whole ? {} : { ...MOCK_SET, ...step.set },
      states: MOCK_STATES,
      state: MOCK_CHECK.state,
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
