// Parts of the invented line. Stops, and what changes the motion, are in each.
import type { Asked } from '../wire/Asked'
import type { LineRow } from '../wire/LineRow'
import type { Sifted } from '../wire/Sifted'
import type { MockBridge } from './bridge'

const KINDS: Record<string, string[]> = {
  orders: ['order'],
  readbacks: ['readback', 'answer'],
  reports: ['report', 'signal'],
  notes: ['note'],
  people: ['check_in', 'check_out', 'assign', 'relieve', 'zone', 'par'],
  rig: ['rig', 'check', 'sign', 'use', 'accept'],
}

export function mockSifted(bridge: MockBridge, asked: Asked, from: number | null, count: number): Sifted {
  const view = bridge.view()
  const held = view.roles.filter((role) => role.person === asked.who).map((role) => role.short)
  const wanted = (row: LineRow): boolean =>
    row.side === 'across' ||
    row.motion !== null ||
    row.rope === 'stopping' ||
    ((asked.kind === null || (KINDS[asked.kind] ?? []).includes(row.kind)) &&
      (asked.who === null || held.some((short) => row.who.includes(short))) &&
      (!asked.flagged || row.flags.length > 0 || row.marks.includes('wrong')))
  const part = bridge.record.rows.filter(wanted)
  const first = Math.min(from ?? Math.max(0, part.length - count), part.length)
  return { rows: part.slice(first, first + count), from: first, total: part.length }
}
