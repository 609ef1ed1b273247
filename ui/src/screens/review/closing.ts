import type { View } from '../../wire/View'

/** What is still open when somebody wants to close, in words; closing is not refused for any of it. */
export function openMatters(view: View): string[] {
  const here = view.people.filter((p) => p.out_ms === null)
  const out: string[] = []
  const list = (names: string[]): string => names.join(', ')
  if (view.on_rope.length > 0) out.push(`on rope: ${list(view.on_rope.map((p) => p.person))}`)
  const zones = here.filter((p) => p.zone === 'edge' || p.zone === 'drop')
  if (zones.length > 0) out.push(`at the edge or below: ${list(zones.map((p) => p.person))}`)
  if (view.slots.length > 0) out.push(`not read back: ${list(view.slots.map((s) => `${s.short} “${s.text}”`))}`)
  if (here.length > 0) out.push(`not checked out: ${here.length === 1 ? here[0]?.person : `${here.length} people`}`)
  return out
}

/** "7c1e 90ab 12f0": the first twelve digits of the head, as the report prints them. */
export function headWords(head: string): string {
  return head.slice(0, 12).replace(/(.{4})(?=.)/g, '$1 ')
}
