// The templates in groups, and which of them what was typed means.
import type { TemplateView } from '../../wire/TemplateView'

export interface TemplateGroup {
  title: string
  templates: TemplateView[]
}

const GROUPS: [string, RegExp][] = [
  ['Who is on the ropes, and who holds them', /operator|rescuer|attendant/],
  ['Over the edge or down a slope', /redirect|directional|low-angle/],
  ['Twin lower, by its anchors', /^twin-lower/],
  ['Main rope and belay', /^main-and-belay/],
  ['Raise', /^raise/],
  ['Change-over and knot pass, step by step', /^change-over|^knot-pass/],
]
const ORDER = [2, 0, 1, 3, 4, 5]
const OTHERS = 'Others'

const groupOf = (template: TemplateView): string => GROUPS.find(([, name]) => name.test(template.name))?.[0] ?? OTHERS

/** The groups that have a template, in the order they are shown. */
export function grouped(templates: TemplateView[]): TemplateGroup[] {
  const titles = [...ORDER.map((i) => GROUPS[i]?.[0] ?? OTHERS), OTHERS]
  return titles
    .map((title) => ({ title, templates: templates.filter((t) => groupOf(t) === title) }))
    .filter((group) => group.templates.length > 0)
}

/** Those whose words hold every word typed: title and group; what it is for only where no title does. */
export function found(templates: TemplateView[], typed: string): TemplateView[] {
  const words = typed.toLowerCase().split(/\s+/).filter(Boolean)
  const holds = (text: string): boolean => words.every((word) => text.toLowerCase().includes(word))
  const named = templates.filter((t) => holds(`${t.title} ${groupOf(t)}`))
  return named.length > 0 ? named : templates.filter((t) => holds(`${t.title} ${t.about}`))
}
