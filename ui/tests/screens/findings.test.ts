import { describe, expect, it } from 'vitest'
import { MOCK_CHECK } from '../../src/mock/check'
import { findingsOf, lostName, pairGroups, rowsOf } from '../../src/screens/rig/departures'
import { changes, forceWords, marginWords, strengthWords } from '../../src/screens/rig/margins'
import { changed, defaults, fieldGroups, fieldOf, freeName, rangeWords, toSet, withUnit } from '../../src/screens/rig/parameters'
import type { PartFinding } from '../../src/wire/PartFinding'
import type { StateFindings } from '../../src/wire/StateFindings'
import type { TemplateView } from '../../src/wire/TemplateView'

const part = (id: string, high: number | null, strength: number | null, verdict: PartFinding['verdict']): PartFinding => ({
  id,
  kind: 'sling',
  label: id,
  force_kN: high === null ? null : { low: high, nominal: high, high },
  strength_kN: strength,
  margin: high === null || strength === null || high === 0 ? null : strength / high,
  required: 10,
  verdict,
  words: 'as told',
  source: '',
  how: [],
})
const state = (more: Partial<StateFindings>): StateFindings => ({
  state: 's',
  parts: [],
  critical_parts: [],
  unknown_parts: [],
  always_critical: [],
  critical_pairs: [],
  hands_off: { verdict: 'holds', moves: false, words: '' },
  losses: [],
  checks: [],
  residual_n: 0,
  ...more,
})

describe('what a lost thing is called to the program', () => {
  it.each([
    [{ lost: ['leg_1a'], mode: 'part', group: null }, 'leg_1a'],
    [{ lost: ['tailer'], mode: 'freezes_on', group: null }, 'tailer:freezes_on'],
    [{ lost: ['roller_1', 'roller_2'], mode: 'common_cause', group: 'edge_cuts_both' }, 'edge_cuts_both'],
    [{ lost: ['anchor_west'], mode: 'common_cause', group: 'west_gives_way' }, 'west_gives_way'],
    [{ lost: ['roller_1', 'roller_2'], mode: 'common_cause', group: null }, null],
  ] as const)('%j', (loss, name) => expect(lostName({ ...loss, lost: [...loss.lost] })).toBe(name))
  it('names none for a common cause of a check stored before its id was kept', () => {
    const old = MOCK_CHECK.losses.filter((l) => l.mode === 'common_cause')
    expect(old.map(lostName)).toEqual(old.map(() => null))
  })
})

describe('margins', () => {
  it.each([
    [9.99, '9.9 : 1'],
    [9.2, '9.2 : 1'],
    [0.04, '0.0 : 1'],
    [123.9, '123 : 1'],
    [null, 'not checked'],
    [Infinity, 'not checked'],
  ])('%s is cut, never rounded up', (m, words) => expect(marginWords(m)).toBe(words))
  it('never calls an unrated part strong, nor an unsolved one loaded', () => {
    expect(strengthWords(null)).toBe('strength not rated')
    expect(forceWords(null)).toBe('force not solved')
    expect(forceWords({ low: 1.2, nominal: 1.72, high: 2.45 })).toBe('1.72 kN, from 1.20 to 2.45')
  })
  it('names what a loss changed, the worst first, and what no longer carries', () => {
    const before = [part('a', 1, 20, 'holds'), part('b', 1, 20, 'holds'), part('c', 1, 20, 'holds')]
    const after = [part('a', 0, 20, 'holds'), part('b', 1, 20, 'holds'), part('c', 4, 20, 'falls_short')]
    expect(changes(before, after).map((c) => [c.id, c.was])).toEqual([
      ['c', '20.0 : 1'],
      ['a', '20.0 : 1'],
    ])
  })
})

describe('findings', () => {
  it('says “no single critical part” only when none is critical and none unknown', () => {
    const of = (more: Partial<StateFindings>) => {
      const rows = rowsOf(state(more))
      return [...rows.departures, ...rows.holds].find((r) => r.key === 'critical')
    }
    expect(of({})).toMatchObject({ standing: 'holds', subject: 'no single critical part' })
    expect(of({ unknown_parts: ['x'] })).toMatchObject({ standing: 'not_checked', subject: 'whether a single part is critical' })
    expect(of({ critical_parts: ['x'], unknown_parts: ['y'] })).toMatchObject({ standing: 'falls_short', subject: '1 critical part' })
  })
  it('never lets a loss that moves or hangs on a hand read as holding', () => {
    const loss = (verdict: 'held' | 'held_if_acts', moves: boolean) => ({
      lost: ['x'],
      label: 'x',
      group: null,
      mode: 'part' as const,
      verdict,
      moves,
      words: '',
      acts: [],
      weakest: null,
      path: [],
    })
    const standing = (l: ReturnType<typeof loss>) => rowsOf(state({ losses: [l] })).departures.find((r) => r.key.startsWith('loss'))?.standing
    expect(standing(loss('held', true))).toBe('moves')
    expect(standing(loss('held_if_acts', true))).toBe('held_if_acts')
    expect(standing(loss('held', false))).toBeUndefined()
  })
  it('leaves nothing out: every part, rule and loss stands in some row', () => {
    const rows = rowsOf(MOCK_CHECK)
    const all = [...rows.departures, ...rows.holds]
    const named = new Set(all.flatMap((r) => r.ids))
    for (const p of MOCK_CHECK.parts) expect(named.has(p.id), p.id).toBe(true)
    for (const l of MOCK_CHECK.losses) expect(all.some((r) => r.subject.includes(l.label)), l.label).toBe(true)
    for (const c of MOCK_CHECK.checks) expect(all.some((r) => r.subject === c.rule), c.rule).toBe(true)
  })
  it('sets what is always critical apart from what this rig does', () => {
    const dropped = (id: string) => ({
      lost: [id],
      label: id,
      group: null,
      mode: 'part' as const,
      verdict: 'dropped' as const,
      moves: false,
      words: 'nothing is left',
      acts: [],
      weakest: null,
      path: [],
    })
    const rows = rowsOf(state({ always_critical: ['litter', 'harness'], losses: [dropped('litter'), dropped('plate'), dropped('harness')] }))
    expect(rows.departures.map((r) => r.subject)).toEqual(['plate', 'always critical: litter, harness'])
  })
  it('says pairs once, however many', () => {
    const pairs: [string, string][] = [
      ['a1', 'b1'],
      ['a1', 'b2'],
      ['a2', 'b1'],
      ['a2', 'b2'],
      ['x', 'y'],
    ]
    expect(pairGroups(state({ critical_pairs: pairs }))).toEqual([
      { any: ['a1', 'a2'], with: ['b1', 'b2'] },
      { any: ['x'], with: ['y'] },
    ])
    expect(pairGroups(MOCK_CHECK).length).toBeLessThan(5)
  })
  it('gives every row a key of its own, also when a rule stands twice', () => {
    const rows = rowsOf(MOCK_CHECK)
    const keys = [...rows.departures, ...rows.holds].map((r) => r.key)
    expect(new Set(keys).size).toBe(keys.length)
  })
  it('finds the state asked for, and none that was not looked at', () => {
    expect(findingsOf(MOCK_CHECK, 'tied_off')?.state).toBe('tied_off')
    expect(findingsOf(MOCK_CHECK, 'raising')).toBeNull()
  })
})

describe('parameters', () => {
  const load = { name: 'load', label: 'Load', unit: 'kg', default: '250kg', low: '50kg', high: '', choices: [] }
  const template: TemplateView = { name: 'raise-3-to-1-and-belay', title: '', about: '', parameters: [load] }
  it.each([
    ['250', '250kg'],
    [' 250 ', '250kg'],
    ['600lb', '600lb'],
    ['two', 'two'],
  ])('“%s” means “%s”', (typed, means) => expect(withUnit(typed, load)).toBe(means))
  it('takes the unit of the template’s own value, not of the dimension', () => {
    const diameter = { ...load, name: 'rope_diameter', unit: 'm', default: '11mm', low: '8mm', high: '16mm' }
    expect(withUnit('12', diameter)).toBe('12mm')
    expect(withUnit('8', { ...diameter, default: '' })).toBe('8mm')
    expect(withUnit('0.9', { ...load, unit: '', default: '0.9', low: '0.3' })).toBe('0.9')
  })
  it('leaves out what is unset, and keeps an emptied value so that it is refused', () => {
    const rating = { ...load, name: 'device', unit: 'kN', default: '', low: '1kN', high: '200kN' }
    const both = { ...template, parameters: [load, rating] }
    expect(toSet(both, { load: '', device: '' })).toEqual({ load: '' })
    expect(toSet(both, { load: '250', device: '22' })).toEqual({ load: '250kg', device: '22kN' })
  })
  it('puts a value and its ends in one field, and what is unset by nature last', () => {
    const one = (name: string, own: string, choices: string[] = []) => ({ ...load, name, default: own, choices })
    const groups = fieldGroups({
      ...template,
      parameters: [one('device', ''), one('share', '0.5'), one('share_low', '0.3'), one('share_high', '0.7'), one('takes_low', ''), one('knot', 'bowline', ['bowline'])],
    })
    expect(groups.map((g) => g.fields.map((f) => f.main.name))).toEqual([['share'], ['knot'], ['device', 'takes_low']])
    expect(groups[0]?.fields[0]?.ends?.high.name).toBe('share_high')
  })
  it('names what was changed and what range stands', () => {
    expect(changed(template, { load: '250' })).toEqual([])
    expect(changed(template, { load: '280' })).toEqual(['load'])
    expect(rangeWords(load)).toBe('at least 50kg')
  })
  it('finds the field in a place, whole word only', () => {
    const at = (where: string) => fieldOf({ code: '', what: '', where, remedy: '' }, template)
    expect(at('load')).toBe('load')
    expect(at('set.load')).toBe('load')
    expect(at('overload')).toBeNull()
  })
  it('takes the height of the edge from the operation', () => {
    const edge = { ...load, name: 'edge_height', unit: 'm', default: '20m', low: '1m', high: '1000m' }
    expect(defaults({ ...template, parameters: [load, edge] }, 14)).toEqual({ load: '250kg', edge_height: '14m' })
    expect(defaults({ ...template, parameters: [load] }, 14)).toEqual({ load: '250kg' })
    expect(defaults({ ...template, parameters: [edge] })).toEqual({ edge_height: '20m' })
  })
  it('leaves the length of the ropes to be said, whatever the template would put in', () => {
    const rope = { ...load, name: 'rope_length', unit: 'm', default: '60m', low: '5m', high: '1000m' }
    const both = { ...template, parameters: [load, rope] }
    expect(defaults(both)).toEqual({ load: '250kg', rope_length: '' })
    expect(toSet(both, defaults(both))).toEqual({ load: '250kg' })
    expect(changed(both, defaults(both))).toEqual([])
    // Said, though it is as long as the template would have it.
    expect(toSet(both, { load: '250kg', rope_length: '60' })).toEqual({ load: '250kg', rope_length: '60m' })
    expect(changed(both, { load: '250kg', rope_length: '60m' })).toEqual(['rope_length'])
  })
  it('names a new rig after its job', () => {
    expect(freeName(template, ['lower'])).toBe('raise')
    expect(freeName(template, ['raise', 'raise 2'])).toBe('raise 3')
  })
})

describe('a rule applied to two things', () => {
  it('stands in two rows of their own', () => {
    const rule = (found: string) => ({ id: 'v_angle', rule: 'V angle', verdict: 'not_checked' as const, found, source: '' })
    const { departures } = rowsOf(state({ checks: [rule('of rope one'), rule('of rope two')] }))
    expect(departures.filter((row) => row.subject === 'V angle')).toHaveLength(2)
    expect(new Set(departures.map((row) => row.key)).size).toBe(departures.length)
  })
})
