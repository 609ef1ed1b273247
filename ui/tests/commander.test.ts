import { render, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it, vi } from 'vitest'
import Commander from '../src/commander/Commander.svelte'
import { cellsOf, ropeWords, type Cell, RECENT_MS } from '../src/commander/cells'
import { fit } from '../src/commander/fit'
import { Watch } from '../src/commander/watch.svelte'
import { mockTold } from '../src/mock/commander'
import { Clock } from '../src/state/clock.svelte'
import { commander } from '../src/state/commander.svelte'
import { ID } from '../src/testids'
import type { CommanderView } from '../src/wire/CommanderView'
import { settle, withBridge } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(afresh)

const board = (options: Parameters<typeof withBridge>[0] = {}, more: Partial<CommanderView> = {}): CommanderView => {
  const view = mockTold(withBridge(options)).operation
  if (!view) throw new Error('the invented operation is open')
  return { ...view, ...more }
}
const cell = (view: CommanderView, id: Cell['id'], now = view.now_ms): Cell => {
  const found = cellsOf(view, now).flat().find((one) => one.id === id)
  if (!found) throw new Error(id)
  return found
}

describe('what stands in the cells', () => {
  it('is who, where and since when', () => {
    const view = board()
    expect(cell(view, 'on_rope').rows.map((row) => [row.lead, row.right])).toEqual([['Aksel Thorne', '6:26'], ['Patient 1', '6:26']])
    expect(cell(view, 'edge').rows.map((row) => row.lead)).toEqual(['Nina Vogel'])
    expect(cell(view, 'clear').right).toBe('8')
  })

  it('is filled where it departs, and quiet where not', () => {
    const tones = (view: CommanderView): Record<string, string> =>
      Object.fromEntries(cellsOf(view, view.now_ms).flat().map((one) => [one.id, one.tone]))
    expect(tones(board())).toEqual({ on_rope: '', edge: '', drop: 'amber', clear: '', open: 'amber', out: '', par: '', roles: 'amber' })
    expect(tones(board({ untilS: 1515 }))).toMatchObject({ open: 'red' })
    const view = board()
    const closed = tones({ ...view, closed_ms: view.now_ms })
    expect(Object.values(closed).every((tone) => tone === '')).toBe(true)
  })

  it('puts who has not reported stopped, then who read back wrong, before who is silent', () => {
    expect(cell(board(), 'open').rows.map((row) => row.lead)).toEqual(['rope two', 'edge attendant'])
    expect(cell(board({ untilS: 1515 }), 'open').rows[0]).toMatchObject({ lead: 'rope two', note: 'has not reported stopped' })
  })

  it('tells what is done inside the motion, and since when', () => {
    const view = board()
    const phase = { phase: 'knot_pass', words: 'knot pass', since_ms: view.now_ms - 92_000, seq: 9, done: null }
    const watch = new Watch(new Clock(() => 0), () => 0)
    watch.told = { operation: { ...view, motion: { ...view.motion, phase } }, unsaved: 0, scribe_silent_ms: 0 }
    watch.clock.set(view.now_ms)
    render(Commander, { watch })
    expect(screen.getByTestId('commander-motion').textContent).toMatch(/knot pass 1:3[12]/)
  })

  it.each([
    [[{ ropes: 'both ropes', left_m: 42, words: '42 m left', near: false }], '42 m rope left', [], ''],
    [[{ ropes: 'both ropes', left_m: null, words: 'rope length not known', near: false }], 'rope left not known', [], ''],
    [
      [
        { ropes: 'rope one', left_m: 12, words: '12 m left', near: false },
        { ropes: 'rope two', left_m: null, words: 'rope length not known', near: false },
      ],
      'rope two not known',
      [],
      '',
    ],
    [
      [
        { ropes: 'rope one', left_m: 12, words: '12 m left', near: false },
        { ropes: 'rope two', left_m: 9, words: '9 m left', near: false },
      ],
      'rope two 9 m left',
      [],
      '',
    ],
    [
      [
        { ropes: 'rope one', left_m: 12, words: '12 m left', near: false },
        { ropes: 'rope two', left_m: 2, words: '2 m left', near: true },
      ],
      '',
      [['Left, rope two', '2 m']],
      'amber',
    ],
    [[{ ropes: 'rope one', left_m: -1, words: '1 m short: metres or rope length are wrong', near: true }], '', [['Rope left', 'too short']], 'amber'],
  ])('tells how much rope is left: %j', (lines, words, rows, tone) => {
    const view = board()
    const rig = { name: 'lower', check: 'holds', signed: true }
    const motion = { ...view.motion, ropes: { lines, note: '' } }
    const told = cell({ ...view, rig, roles: [], motion }, 'roles')
    expect([told.rows.map((row) => [row.lead, row.right]), told.tone]).toEqual([rows, tone])
    expect(ropeWords({ ...view, motion })).toBe(words)
    // Before the first call of metres there is nothing to say of them.
    expect(ropeWords({ ...view, motion: { ...motion, metres_out: null } })).toBe('')
  })

  it('asks who is on a load that moves with nobody on it in the record', () => {
    const view = board()
    const motion = { ...view.motion, nobody_on_rope: true }
    expect(cell({ ...view, motion }, 'on_rope')).toMatchObject({ name: 'On rope: who?', tone: 'amber', right: '0' })
  })

  it.each([
    // not accounted for by the last count, came since
    [0, 0, ''],
    [1, 0, 'amber'],
    // Who comes or goes later changes nothing about who was missing then.
    [1, 2, 'amber'],
  ])('keeps %i not accounted for with %i newcomers', (missing, came, tone) => {
    const view = board()
    const last_ms = view.now_ms - 60_000
    const people = view.people.map((one, i) => ({ ...one, out_ms: null, in_ms: i < came ? last_ms + 1 : last_ms - 1 }))
    const par = cell({ ...view, people, par_missing: missing, par: { ...view.par, last_ms, expected: 3 } }, 'par')
    expect([par.rows[0]?.right, par.tone]).toEqual([String(missing), tone])
    expect(par.rows[1]).toEqual(came > 0 ? { lead: 'came since, not counted', right: String(came) } : undefined)
  })

  it('never says that all are accounted for before anybody was counted', () => {
    expect(cell(board({}, { par_missing: null }), 'par').rows[0]?.lead).toBe('never counted')
  })

  it('shows a flag of the movement while it stands, else ten minutes, and the hanging first', () => {
    const view = board()
    const flag = (id: string, ago: number, stands = false) => ({ id, words: id, at_ms: view.now_ms - ago, stands })
    const flags = [flag('unequal_tension', RECENT_MS * 3, true), flag('moved_unsigned', RECENT_MS - 1), flag('role_excluded', RECENT_MS + 1)]
    expect(cell({ ...view, flags }, 'out').rows.map((row) => row.lead)).toEqual(['Tension unequal', 'Moved unsigned'])
    const still = { id: 'motionless_in_harness', who: 'Aksel Thorne', since_ms: view.now_ms - 400_000, due_ms: view.now_ms - 100_000, seq: 1, words: '', then: '', why: '' }
    const out = cell({ ...view, flags, watches: [still] }, 'out')
    expect([out.tone, out.rows[0]?.lead]).toEqual(['red', 'Aksel Thorne'])
    expect(cell({ ...view, watches: [{ ...still, due_ms: view.now_ms + 1 }] }, 'out').rows).toEqual([])
  })

  it.each([
    ['not_checked', 'not checked'],
    ['stale', 'changed since check'],
    ['falls_short', 'falls short'],
    ['not_checked_whole', 'not all checked'],
    ['holds', 'check holds'],
  ])('says of a rig that is %s: %s', (check, words) => {
    const rigged = cell(board({}, { rig: { name: 'lower', check, signed: check === 'holds' } }), 'roles')
    expect(rigged.right).toBe(words)
    expect(rigged.rows.some((row) => row.lead === 'nobody has signed it')).toBe(check !== 'holds')
  })
})

describe('lines of a column', () => {
  const of = (id: Cell['id'], tone: Cell['tone'], rows: number, note = false): Cell => ({
    id,
    name: id,
    right: String(rows),
    tone,
    rows: Array.from({ length: rows }, (_, i) => ({ lead: `${id} ${i}`, right: '', ...(note ? { note: 'why' } : {}) })),
  })

  it('never exceed what there is, keep every head, and count what they leave out', () => {
    for (let lines = 4; lines <= 20; lines += 1) {
      for (const crowd of [0, 1, 3, 40]) {
        const cells = [of('on_rope', '', crowd), of('edge', 'amber', crowd, true), of('drop', 'red', crowd), of('clear', '', 12)]
        const fitted = fit(cells, lines)
        expect(fitted.reduce((sum, one) => sum + one.lines, 0)).toBeLessThanOrEqual(lines)
        for (const [i, one] of fitted.entries()) {
          const told = one.rows.length + (one.rows.at(-1)?.more ?? 0)
          if (one.rows.length > 0) expect(told).toBe(cells[i]?.rows.length)
        }
        if (lines >= 7 && crowd > 0) expect(fitted.slice(0, 3).every((one) => one.rows.length > 0)).toBe(true)
      }
    }
  })

  it('go to what departs before who is clear', () => {
    const [, edge, , clear] = fit([of('on_rope', '', 0), of('edge', 'amber', 5), of('drop', '', 0), of('clear', '', 5)], 10)
    expect([edge?.rows.length, clear?.rows.length]).toEqual([5, 1])
  })
})

/** A watch whose time and answers the test sets. */
function watched() {
  const bridge = withBridge()
  let time = 0
  const watch = new Watch(new Clock(() => bridge.now()), () => time)
  const ask = async (ms: number): Promise<void> => {
    time += ms
    await watch.ask()
  }
  return { bridge, watch, ask }
}

describe('the commander’s window is not up to date', () => {
  it('when nothing is heard: it says so, its counters stand still, and it goes on', async () => {
    const { bridge, watch, ask } = watched()
    await ask(0)
    const now = watch.now
    expect(watch.behind).toBeNull()
    const answer = bridge.invoke.bind(bridge)
    bridge.invoke = () => Promise.reject(new Error('gone'))
    await ask(2000)
    expect(watch.behind).toBeNull()
    await ask(2000)
    expect(watch.behind).toEqual({ tone: 'red', words: 'Last heard 0:04 ago: all of this is from then' })
    expect(Math.abs(watch.now - now)).toBeLessThan(1000)
    bridge.invoke = answer
    await ask(1000)
    expect(watch.behind).toBeNull()
  })

  it('when an answer never comes it asks once, and counts', async () => {
    const { bridge, watch, ask } = watched()
    await ask(0)
    const asked = vi.fn(() => new Promise(() => {}))
    bridge.invoke = asked
    void ask(1000)
    await ask(61_000)
    expect(asked).toHaveBeenCalledTimes(1)
    expect(watch.behind?.words).toContain('1:02')
  })

  it('while the scribe’s entries are not on the disk', async () => {
    const { bridge, watch, ask } = watched()
    bridge.told = [2, false]
    await ask(0)
    expect(watch.behind).toBeNull()
    await ask(3000)
    expect(watch.behind).toEqual({ tone: 'red', words: '2 entries are not saved, and not in here' })
    bridge.told = [0, false]
    await ask(1000)
    expect(watch.behind).toBeNull()
  })

  it('when the scribe’s window has been silent', async () => {
    const { bridge, watch, ask } = watched()
    bridge.scribeSilentMs = 29_999
    await ask(0)
    expect(watch.behind).toBeNull()
    bridge.scribeSilentMs = 42_000
    await ask(1000)
    expect(watch.behind).toEqual({ tone: 'amber', words: 'The scribe’s window has been silent for 0:42' })
  })
})

describe('the commander’s window', () => {
  it('asks for one thing only, and goes on when an operation is closed and opened', async () => {
    const bridge = withBridge()
    const asked = vi.spyOn(bridge, 'invoke')
    const watch = new Watch(new Clock(() => bridge.now()))
    render(Commander, { watch })
    await settle()
    expect(at('commander-motion').textContent).toContain('Lowering')
    expect(at('commander-drop').dataset['tone']).toBe('amber')
    bridge.open = false
    await watch.ask()
    await settle()
    expect(at('commander-motion').textContent).toContain('No operation is open')
    expect(screen.queryByTestId('commander-drop')).toBeNull()
    bridge.open = true
    await watch.ask()
    await settle()
    expect(at('commander-on_rope').textContent).toContain('Aksel Thorne')
    expect(new Set(asked.mock.calls.map(([command]) => command))).toEqual(new Set(['told']))
    expect(bridge.acted).toEqual([])
  })

  it('has no control but its look, and no key of it does anything', async () => {
    const bridge = withBridge()
    render(Commander)
    await settle()
    const controls = document.querySelectorAll('button, input, a, [tabindex]')
    expect([...controls].map((one) => (one as HTMLElement).dataset['testid'])).toEqual(['commander-look'])
    for (const name of ['Escape', 'F2', 'F12', 'Enter']) await key(name)
    await settle()
    expect(bridge.acted).toEqual([])
  })

  it('wears the scribe’s look until its own is chosen', async () => {
    withBridge()
    localStorage.setItem('ledgebook-look', 'night')
    render(Commander)
    await settle()
    expect(document.documentElement.dataset['look']).toBe('night')
    at('commander-look').click()
    await settle()
    expect(document.documentElement.dataset['look']).toBe('sun')
    expect(localStorage.getItem('ledgebook-look')).toBe('night')
  })
})

describe('the scribe’s window', () => {
  it('opens and closes it by key and by touch, and keeps the focus and the half word', async () => {
    const bridge = await shown()
    at(ID.freeLine).focus()
    await key('b', { ctrlKey: true })
    await settle()
    expect([bridge.commanderOpen, at(ID.commander).getAttribute('aria-pressed')]).toEqual([true, 'true'])
    expect(document.activeElement).toBe(at(ID.freeLine))
    at(ID.commander).click()
    await settle()
    expect([bridge.commanderOpen, commander.open]).toEqual([false, false])
  })

  it('hears when it was closed by its own button, and says when it does not open', async () => {
    const bridge = await shown()
    await key('b', { ctrlKey: true })
    await settle()
    window.dispatchEvent(new Event('ledgebook-commander-gone'))
    await settle()
    expect(at(ID.commander).getAttribute('aria-pressed')).toBe('false')
    vi.spyOn(bridge, 'invoke').mockRejectedValue({ code: 'could_not', what: 'no display', where: '', remedy: '' })
    await key('b', { ctrlKey: true })
    await settle()
    expect(at(ID.commander).getAttribute('aria-label')).toContain('no display')
    commander.trouble = null
  })

  it('changes its look by key, and not its own', async () => {
    await shown()
    localStorage.setItem('ledgebook-look', 'day')
    await key('B', { ctrlKey: true, shiftKey: true })
    expect(localStorage.getItem('ledgebook-look-commander')).toBe('night')
    expect(localStorage.getItem('ledgebook-look')).toBe('day')
  })
})
