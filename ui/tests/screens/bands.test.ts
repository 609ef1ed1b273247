import { describe, expect, it } from 'vitest'
import { bands, candidateFor, listOf, matchNames, matchRoles, moveOf } from '../../src/screens/team/bands'
import type { PersonView } from '../../src/wire/PersonView'
import type { RoleView } from '../../src/wire/RoleView'

const person = (name: string, more: Partial<PersonView> = {}): PersonView => ({
  person: name,
  agency: null,
  roles: [],
  qualifications: [],
  zone: 'clear',
  in_ms: 0,
  out_ms: null,
  zone_ms: 0,
  heard_ms: 0,
  note: '',
  mark: '',
  ...more,
})
const role = (name: string, code: string, holder: string | null, needed = true): RoleView => ({
  role: name,
  short: name.replace(' operator', ''),
  code,
  person: holder,
  needed,
  since_ms: null,
})

describe('bands', () => {
  it('keeps the zones in order along the rope, empty ones too, and checked out last', () => {
    const got = bands(
      [
        person('Left Early', { out_ms: 5 }),
        person('On Rope', { zone: 'on_rope' }),
        person('Top One'),
        person('Below', { zone: 'drop' }),
      ],
      [],
    )
    expect(got.map((b) => [b.name, b.count])).toEqual([
      ['Clear', '1 person'],
      ['Edge zone', 'no one'],
      ['On rope', '1 person'],
      ['Drop zone', '1 person'],
      ['Checked out', '1 person'],
    ])
  })

  it('shows a needed role that nobody has, and only that', () => {
    const got = bands([person('A')], [role('tailer', 't', null), role('scribe', 'n', 'A'), role('haul team', 'h', null, false)])
    expect(got[0]?.rows.map((r) => r.key)).toEqual(['person A', 'role tailer'])
    expect(got[0]?.count).toBe('1 person')
  })

  it('has no band for the checked out while everyone is here', () => {
    expect(bands([person('A')], []).map((b) => b.zone)).toEqual(['clear', 'edge', 'on_rope', 'drop'])
  })
})

describe('candidateFor', () => {
  const tailer = role('tailer', 't', null)
  it('takes the qualified one before the first free one', () => {
    const people = [person('Free'), person('Fit', { qualifications: ['Tailer', 'haul team'] })]
    expect(candidateFor(tailer, people)?.person).toBe('Fit')
    expect(candidateFor(tailer, people.slice(0, 1))?.person).toBe('Free')
  })
  it('offers nobody who has a role, is at the edge, on rope, below or gone', () => {
    const people = [
      person('Busy', { roles: ['control'] }),
      person('Edge', { zone: 'edge' }),
      person('Rope', { zone: 'on_rope' }),
      person('Below', { zone: 'drop' }),
      person('Gone', { out_ms: 1 }),
    ]
    expect(candidateFor(tailer, people)).toBeNull()
  })
})

describe('what was typed', () => {
  const roles = [
    role('control', 'c', 'A'),
    role('rope one operator', '1', null),
    role('rope two operator', '2', 'B'),
    role('edge attendant', 'e', null),
    role('litter attendant', 'l', null, false),
  ]
  it.each([
    ['1', 'rope one operator'],
    ['c', 'control'],
    ['rope t', 'rope two operator'],
    ['att', 'edge attendant'],
    ['LIT', 'litter attendant'],
    ['', 'rope one operator'],
  ])('“%s” means %s first', (typed, first) => {
    expect(matchRoles(typed, roles)[0]?.role).toBe(first)
  })
  it('has no role for nonsense', () => expect(matchRoles('zzz', roles)).toEqual([]))
  it('finds a name by any of its words', () => {
    expect(matchNames('ho', ['Bea Holm', 'Tove Hallam', 'Hollis Ray'])).toEqual(['Bea Holm', 'Hollis Ray'])
  })
  it('splits qualifications and drops empty ones', () => {
    expect(listOf(' edge, , haul team ;tailer')).toEqual(['edge', 'haul team', 'tailer'])
  })
  it.each([
    ['s', 'clear'],
    ['t', 'clear'],
    ['e', 'edge'],
    ['r', 'on_rope'],
    ['d', 'drop'],
  ])('key %s moves to %s', (key, zone) => expect(moveOf(key)?.zone).toBe(zone))
  it('has no move on another key', () => expect(moveOf('x')).toBeNull())
})
