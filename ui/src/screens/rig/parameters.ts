import type { ParameterView } from '../../wire/ParameterView'
import type { RigView } from '../../wire/RigView'
import type { TemplateView } from '../../wire/TemplateView'
import type { Trouble } from '../../wire/Trouble'

/** The parameter that every template shares with the operation. */
const EDGE = 'edge_height'

/** Nobody knows how long the team's ropes are but the team: the template's own length is no more than shown. */
const TO_BE_SAID = 'rope_length'

/** What stands in the fields: each parameter as text with its unit. */
export type Values = Record<string, string>

/** A template's own values; the height of the edge is the operation's, where that is known. */
export function defaults(template: TemplateView, edgeM: number | null = null): Values {
  const own = Object.fromEntries(template.parameters.map((p) => [p.name, isAsked(p) ? '' : p.default]))
  return edgeM !== null && EDGE in own ? { ...own, [EDGE]: `${edgeM}m` } : own
}

/** The values a rig stands on now: what was set, over the template's own. */
export function present(template: TemplateView, rig: RigView): Values {
  const known = new Set(template.parameters.map((p) => p.name))
  const set = Object.entries(rig.set).filter(([name]) => known.has(name))
  return { ...defaults(template), ...Object.fromEntries(set) }
}

/** Whether the field stays empty until somebody says it. */
export const isAsked = (parameter: ParameterView): boolean => parameter.name === TO_BE_SAID

const NUMBER = /^[-+]?\d+(\.\d+)?/

/** The unit a bare number means: that of the template's own value ("mm" for "11mm"), else that of the range. */
function unitOf(parameter: ParameterView): string {
  const example = [parameter.default, parameter.low].find((text) => NUMBER.test(text))
  return example === undefined ? parameter.unit : example.replace(NUMBER, '').trim()
}

/** A bare number takes the parameter's unit, so that "250" may be typed for "250kg". */
export function withUnit(text: string, parameter: ParameterView): string {
  const t = text.trim()
  return NUMBER.exec(t)?.[0] === t ? t + unitOf(parameter) : t
}

/** The values as they are handed over: with units; what is unset and has no value of its own is left out. */
export function toSet(template: TemplateView, values: Values): Values {
  const given = template.parameters.map((p): [string, string] => [p.name, withUnit(values[p.name] ?? p.default, p)])
  return Object.fromEntries(given.filter(([name, text]) => text !== '' || (name !== TO_BE_SAID && ownValue(template, name) !== '')))
}

const ownValue = (template: TemplateView, name: string): string =>
  template.parameters.find((p) => p.name === name)?.default ?? ''

/** A field of the form: one parameter, or a likely value with its low and high end. */
export interface FieldRow {
  main: ParameterView
  ends: { low: ParameterView; high: ParameterView } | null
}

/** Fields that belong together. */
export interface FieldGroup {
  title: string
  fields: FieldRow[]
}

/** The parameters in the order a rigger asks: sizes and load, what it is made of, what the team may add. */
export function fieldGroups(template: TemplateView): FieldGroup[] {
  const all = template.parameters
  const named = (name: string): ParameterView | null => all.find((p) => p.name === name) ?? null
  const isEnd = (p: ParameterView): boolean => /_(low|high)$/.test(p.name) && named(p.name.replace(/_(low|high)$/, '')) !== null
  const fields = all
    .filter((p) => !isEnd(p))
    .map((main): FieldRow => {
      const [low, high] = [named(`${main.name}_low`), named(`${main.name}_high`)]
      return { main, ends: low && high ? { low, high } : null }
    })
  const open = (f: FieldRow): boolean => f.main.choices.length === 0 && f.main.default === ''
  const groups: FieldGroup[] = [
    { title: 'Load, lengths, angles', fields: fields.filter((f) => f.main.choices.length === 0 && !open(f)) },
    { title: 'What it is made of', fields: fields.filter((f) => f.main.choices.length > 0) },
    { title: 'The team’s own values; without them: not checked', fields: fields.filter(open) },
  ]
  return groups.filter((g) => g.fields.length > 0)
}

/** Names of parameters that differ from the template's own values. */
export function changed(template: TemplateView, values: Values): string[] {
  const own = (p: ParameterView): string => (isAsked(p) ? '' : p.default)
  return template.parameters.filter((p) => withUnit(values[p.name] ?? '', p) !== own(p)).map((p) => p.name)
}

/** The field a trouble belongs to, when it names one. */
export function fieldOf(trouble: Trouble, template: TemplateView): string | null {
  const exact = template.parameters.find((p) => p.name === trouble.where)
  if (exact !== undefined) return exact.name
  const words = trouble.where.split(/[^A-Za-z0-9_-]+/)
  return template.parameters.find((p) => words.includes(p.name))?.name ?? null
}

/** "30° to 120°", "at least 0.5m" or nothing. */
export function rangeWords(p: ParameterView): string {
  if (p.choices.length > 0) return ''
  const [low, high] = [p.low, p.high].map((text) => text.replace(/(?<=\d)deg$/, '°'))
  if (low && high) return `${low} to ${high}`
  if (low) return `at least ${low}`
  return high ? `at most ${high}` : ''
}

/** A short name for a new rig that the operation does not have yet: "lower", "raise", "lower 2". */
export function freeName(template: TemplateView, taken: string[]): string {
  const base = /raise|haul/.test(template.name) ? 'raise' : /lower/.test(template.name) ? 'lower' : template.name
  if (!taken.includes(base)) return base
  let n = 2
  while (taken.includes(`${base} ${n}`)) n += 1
  return `${base} ${n}`
}
