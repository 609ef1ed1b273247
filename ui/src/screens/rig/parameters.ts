import type { ParameterView } from '../../wire/ParameterView'
import type { RigView } from '../../wire/RigView'
import type { TemplateView } from '../../wire/TemplateView'
import type { Trouble } from '../../wire/Trouble'

/** What stands in the fields: each parameter as text with its unit. */
export type Values = Record<string, string>

/** A template's own values. */
export function defaults(template: TemplateView): Values {
  return Object.fromEntries(template.parameters.map((p) => [p.name, p.default]))
}

/** The values a rig stands on now: what was set, over the template's own. */
export function present(template: TemplateView, rig: RigView): Values {
  const known = new Set(template.parameters.map((p) => p.name))
  const set = Object.entries(rig.set).filter(([name]) => known.has(name))
  return { ...defaults(template), ...Object.fromEntries(set) }
}

/** A bare number takes the parameter's unit, so that "250" may be typed for "250kg". */
export function withUnit(text: string, parameter: ParameterView): string {
  const t = text.trim()
  const bare = /^[-+]?\d+(\.\d+)?$/.test(t)
  return bare && parameter.unit !== '' ? t + parameter.unit : t
}

/** The values as they are handed over: with units. */
export function toSet(template: TemplateView, values: Values): Values {
  return Object.fromEntries(template.parameters.map((p) => [p.name, withUnit(values[p.name] ?? p.default, p)]))
}

/** Names of parameters that differ from the template's own values. */
export function changed(template: TemplateView, values: Values): string[] {
  return template.parameters.filter((p) => withUnit(values[p.name] ?? '', p) !== p.default).map((p) => p.name)
}

/** The field a trouble belongs to, when it names one. */
export function fieldOf(trouble: Trouble, template: TemplateView): string | null {
  const exact = template.parameters.find((p) => p.name === trouble.where)
  if (exact !== undefined) return exact.name
  const words = trouble.where.split(/[^A-Za-z0-9_-]+/)
  return template.parameters.find((p) => words.includes(p.name))?.name ?? null
}

/** "30deg to 120deg", "at least 0.5m" or nothing. */
export function rangeWords(p: ParameterView): string {
  if (p.choices.length > 0) return ''
  if (p.low !== '' && p.high !== '') return `${p.low} to ${p.high}`
  if (p.low !== '') return `at least ${p.low}`
  return p.high === '' ? '' : `at most ${p.high}`
}

/** A short name for a new rig that the operation does not have yet: "lower", "raise", "lower 2". */
export function freeName(template: TemplateView, taken: string[]): string {
  const base = /raise|haul/.test(template.name) ? 'raise' : /lower/.test(template.name) ? 'lower' : template.name
  if (!taken.includes(base)) return base
  let n = 2
  while (taken.includes(`${base} ${n}`)) n += 1
  return `${base} ${n}`
}
