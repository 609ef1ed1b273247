import { fireEvent, render, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../src/App.svelte'
import { calls } from '../src/state/calls.svelte'
import { freeLine } from '../src/state/line.svelte'
import { operation } from '../src/state/operation.svelte'
import { place } from '../src/state/place.svelte'
import { ID } from '../src/testids'
import { hoursOn, lasted, rolled } from '../src/words'
import { settle, withBridge } from './bridge'
import { afresh, at, key, later, shown, typed } from './window'

beforeEach(afresh)

describe('STOP', () => {
  it.each(['size-up', 'team', 'rig', 'calls', 'review'] as const)('is Esc on %s', async (where) => {
    const bridge = await shown()
    place.go(where)
    await settle()
    await key('Escape')
    await settle()
    expect(bridge.acted).toEqual([{ do: 'order', from: 'scribe', to: ['all'], text: 'stop', by: 'radio 2' }])
    expect(at(ID.motion).dataset['motion']).toBe('stopping')
    expect(document.activeElement).toBe(at(ID.freeLine))
  })

  it('keeps the half word of the free line', async () => {
    await shown()
    await typed('e rd')
    await key('Escape')
    await settle()
    expect(at(ID.freeLine)).toHaveProperty('value', 'e rd')
  })

  it('turns the strip red before the disk has answered', async () => {
    const bridge = await shown()
    vi.spyOn(bridge, 'invoke').mockImplementation(() => new Promise(() => {}))
    await key('Escape')
    expect(at(ID.motion).classList).toContain('red')
    expect(at(ID.saved).dataset['state']).toBe('writing')
  })

  it('is one STOP when the key bounces, and two when it is pressed twice', async () => {
    const bridge = await shown()
    await key('Escape')
    later(200)
    await key('Escape')
    later(2000)
    await key('Escape')
    await settle()
    expect(bridge.acted).toHaveLength(2)
  })

  it('says that it is not recorded while no operation is open', async () => {
    const bridge = await shown({ open: false })
    await key('Escape')
    expect(bridge.acted).toEqual([])
    expect(screen.getByText(/STOP is not recorded/)).toBeTruthy()
  })
})

describe('keys', () => {
  it.each(['calls', 'team', 'size-up'] as const)('order on %s', async (where) => {
    const bridge = await shown()
    place.go(where)
    await settle()
    await key('F5')
    await settle()
    expect(bridge.acted).toEqual([
      { do: 'order', from: 'control', to: ['rope one operator', 'rope two operator'], text: 'set', by: 'radio 2' },
    ])
  })

  it('order to all while a stop is in force', async () => {
    const bridge = await shown({ untilS: 1515 })
    await key('F5')
    await settle()
    expect(bridge.acted[0]).toMatchObject({ to: ['all'], text: 'set' })
  })

  it.each([
    ['F2', 'both', 'lower', ['rope one operator', 'rope two operator']],
    ['F2', 'two', 'lower', ['rope two operator']],
    ['F3', 'one', 'raise', ['rope one operator']],
    ['F2', 'all', 'lower', ['all']],
    ['F5', 'two', 'set', ['all']],
  ] as const)('after Esc %s to “%s” says “%s” to whom it was chosen for if it moves', async (name, chosen, text, to) => {
    const bridge = await shown()
    calls.to = chosen
    await key('Escape')
    await settle()
    await key(name)
    await settle()
    calls.to = 'both'
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'order', text, to })
  })

  it('leave the focus where it was when the keys are closed', async () => {
    await shown()
    for (const id of [ID.freeLine, ID.to('one')]) {
      at(id).focus()
      await key('F1')
      await settle()
      expect(screen.queryByTestId(id)).toBeNull()
      await key('F1')
      await settle()
      expect(document.activeElement).toBe(at(id))
    }
  })

  it('repeat the last call', async () => {
    const bridge = await shown()
    await key('F12')
    await key('F5')
    await settle()
    await key('F12')
    await settle()
    expect(bridge.acted.map((step) => (step as { text?: string }).text)).toEqual(['set', 'set'])
  })

  it('write the report from any screen, and say where it lies', async () => {
    const bridge = await shown()
    const asked = vi.spyOn(bridge, 'invoke')
    await key('p', { ctrlKey: true })
    await settle()
    expect(asked).toHaveBeenCalledWith('report', { units: 'si' })
    expect(document.body.textContent).toContain('Kestrel Wall.pdf')
  })

  it('change screens and looks', async () => {
    await shown()
    await key('1', { ctrlKey: true })
    expect(place.screen).toBe('size-up')
    place.setLook('day')
    await key('0', { ctrlKey: true })
    expect(document.documentElement.dataset['look']).toBe('night')
    await key('F1')
    expect(at(ID.keyMap)).toBeTruthy()
    await key('F1')
    expect(screen.queryByTestId(ID.keyMap)).toBeNull()
  })
})

describe('the free line on the screen', () => {
  it('records with Enter and shows the row', async () => {
    const bridge = await shown()
    await typed('e rdy')
    expect(at(ID.will).textContent).toContain('ready')
    await key('Enter')
    await settle()
    expect(bridge.acted).toHaveLength(1)
    expect(screen.getAllByTestId(ID.row).at(-1)?.textContent).toContain('ready')
    expect(at(ID.freeLine)).toHaveProperty('value', '')
  })

  it('opens the last entry on a fresh Backspace, not on a held one', async () => {
    await shown()
    at(ID.freeLine).focus()
    await key('Backspace', { repeat: true })
    await settle()
    expect(freeLine.correcting).toBeNull()
    await key('Backspace')
    await settle()
    expect(at(ID.freeLine)).toHaveProperty('value', 'raise slow')
  })

  it('shows an entry in quiet ink until the disk has it', async () => {
    const bridge = await shown()
    const invoke = bridge.invoke.bind(bridge)
    let answer = (): void => {}
    vi.spyOn(bridge, 'invoke').mockImplementation(async (command, args) => {
      if (command === 'act') await new Promise<void>((done) => (answer = done))
      return invoke(command, args)
    })
    await key('F5')
    await settle()
    const last = (): HTMLElement | undefined => screen.getAllByTestId(ID.row).at(-1)
    expect(last()?.dataset['state']).toBe('writing')
    answer()
    await settle()
    expect(last()?.dataset['state']).toBe('saved')
    expect(last()?.textContent).toContain('set')
  })

  it('turns the saved cell red, with words, when the disk is full, and keeps the entry in sight', async () => {
    const bridge = await shown()
    bridge.failing = { code: 'disk', what: 'the disk is full', where: '', remedy: 'free some space' }
    await key('F5')
    await settle()
    expect(at(ID.saved).dataset['state']).toBe('not_saved')
    expect(at(ID.saved).textContent).toContain('1 not saved')
    expect(screen.getAllByTestId(ID.row).at(-1)?.textContent).toContain('the disk is full')
  })
})

describe('slots', () => {
  it('read back as ordered at a touch', async () => {
    const bridge = await shown()
    const slot = screen.getAllByTestId(ID.slot).find((one) => one.dataset['code'] === 'e')
    if (!slot) throw new Error('the edge attendant is silent in the story')
    later(1000)
    await fireEvent.click(slot)
    await settle()
    expect(bridge.acted[0]).toMatchObject({ do: 'readback', from: 'edge attendant', text: 'edge clear?' })
    expect(screen.getAllByTestId(ID.slot)).toHaveLength(1)
  })

  it('do not take a touch that came while they appeared', async () => {
    const bridge = await shown()
    const [slot] = screen.getAllByTestId(ID.slot)
    if (slot) await fireEvent.click(slot)
    await settle()
    expect(bridge.acted).toEqual([])
  })
})

describe('start', () => {
  it('shows the caution, and opens what was not closed with one key', async () => {
    const bridge = await shown({ open: false })
    expect(at(ID.caution).textContent).toContain('Decision support only')
    expect(document.activeElement?.textContent).toContain('goes on')
    const asked = vi.spyOn(bridge, 'invoke')
    await fireEvent.click(document.activeElement as Element)
    await settle()
    expect(asked).toHaveBeenCalledWith('open_operation', { file: '/home/scribe/Ledgebook/Kestrel Wall.ledge' })
    expect(at(ID.line)).toBeTruthy()
  })

  it('comes back with fresh facts when an operation is put away', async () => {
    const bridge = await shown()
    bridge.open = false
    const asked = vi.spyOn(bridge, 'invoke')
    operation.leave()
    await settle()
    expect(asked).toHaveBeenCalledWith('start', {})
    expect(at(ID.startFound)).toBeTruthy()
  })

  it('starts a new one from four fields, a bare height in metres', async () => {
    const bridge = await shown({ open: false })
    const asked = vi.spyOn(bridge, 'invoke')
    const fill = (id: string, value: string) => fireEvent.input(at(id), { target: { value } })
    await fill(ID.startName, 'Gully')
    await fill(ID.startPlace, 'East gully')
    await fill(ID.startEdge, '14,5')
    await fireEvent.click(at(ID.startPurpose('drill')))
    const form = at(ID.startCreate).closest('form')
    if (form) await fireEvent.submit(form)
    await settle()
    expect(asked).toHaveBeenCalledWith('new_operation', {
      name: 'Gully',
      place: 'East gully',
      purpose: 'drill',
      edgeHeight: '14.5m',
    })
    // The job begins with the size-up.
    expect(place.screen).toBe('size-up')
  })

  it('shows a trouble in place and keeps what was typed', async () => {
    const bridge = await shown({ open: false })
    bridge.failing = { code: 'not_ours', what: 'not an operation file', where: '/tmp/x', remedy: 'name another' }
    await fireEvent.input(at(ID.startFile), { target: { value: '/tmp/x' } })
    const form = at(ID.startFile).closest('form')
    if (form) await fireEvent.submit(form)
    await settle()
    expect(at(ID.startTrouble).textContent).toContain('not an operation file')
    expect(at(ID.startFile)).toHaveProperty('value', '/tmp/x')
  })
})

describe('size-up', () => {
  it('records a fact as a note that begins with its name, and goes to the next', async () => {
    const bridge = await shown()
    place.go('size-up')
    await settle()
    await fireEvent.input(at(ID.fact('weather')), { target: { value: 'rain from six' } })
    const form = at(ID.fact('weather')).closest('form')
    if (form) await fireEvent.submit(form)
    await settle()
    expect(bridge.acted).toEqual([{ do: 'note', from: 'scribe', text: 'weather: rain from six' }])
    expect(at(ID.factNow('weather')).textContent).toContain('rain from six')
    expect(document.activeElement).toBe(at(ID.fact('light')))
  })

  it('keeps vital signs short, each with its time, apart from the patient’s way', async () => {
    const bridge = await shown()
    place.go('size-up')
    await settle()
    for (const words of ['  ', 'pulse 92, awake']) {
      await fireEvent.input(at(ID.vitalsText), { target: { value: words } })
      await fireEvent.submit(at(ID.vitalsText).closest('form') as HTMLFormElement)
      await settle()
      await settle()
    }
    expect(bridge.acted).toEqual([{ do: 'patient', mark: 'vitals', vitals: 'pulse 92, awake' }])
    expect(at(ID.vitals).textContent).toMatch(/\d\d:\d\d:\d\d pulse 92, awake/)
    expect(at(ID.vitalsText)).toHaveProperty('value', '')
  })
})

describe('lengths of time', () => {
  it.each([
    [-5, '0:00'],
    [126_000, '2:06'],
    [3_726_000, '1:02:06'],
    [99 * 3_600_000 + 59 * 60_000 + 59_000, '99:59:59'],
    // Minutes of these nobody reads, and the strip has no room for them.
    [1_234 * 3_600_000 + 5 * 60_000, '1234 h'],
  ])('%i ms is %s', (ms, words) => expect(lasted(ms)).toBe(words))

  it('say how long ago the roll was called and who was silent', () => {
    const call = { text: 'roll call', at_ms: 0, seq: 1, of: 5, silent: [] as string[] }
    expect(rolled(call, 62_000)).toBe('roll call 1:02 ago, 5 of 5')
    expect(rolled({ ...call, silent: ['rope two', 'edge', 'litter', 'tailer'] }, 62_000)).toBe('roll call 1:02 ago, silent: rope two, edge and 2 more')
    expect(hoursOn(29 * 60_000)).toBe('0:29 h')
  })
})

describe('the clocks', () => {
  it('show the time of day while lengths of time go by the line', async () => {
    const bridge = withBridge()
    const view = bridge.view()
    const hour = 3_600_000
    bridge.view = () => ({ ...view, clock: { ...view.clock, to_wall_ms: -hour, offset_min: 60 } })
    render(App)
    await settle()
    await settle()
    const seconds = (text: string | null): number =>
      (text ?? '').split(':').reduce((sum, part) => sum * 60 + Number(part), 0)
    const shownS = seconds(at(ID.clock).textContent)
    const lineS = ((view.now_ms + view.offset_min * 60_000) / 1000) % 86_400
    // Set back by an hour, and local time moved from UTC+2 to UTC+1.
    expect(Math.abs(shownS - (lineS - 7200))).toBeLessThan(3)
    expect(screen.queryByTestId(ID.acrossRestart)).toBeNull()
  })

  it('say which length of time goes across a restart', async () => {
    const bridge = withBridge()
    bridge.restartMs = bridge.now() + 1
    render(App)
    await settle()
    await settle()
    expect(at(ID.acrossRestart).textContent).toBe('across a restart')
    expect(at(ID.onRope).textContent).toContain('across a restart')
  })
})

describe('what the strip and Calls say of the load', () => {
  it('asks who is on it when it moves and nobody is logged on rope', async () => {
    const bridge = await shown()
    expect(at(ID.onRope).className).not.toContain('amber')
    for (const person of ['Aksel Thorne', 'Patient 1']) {
      await bridge.invoke('act', { step: { do: 'zone', person, zone: 'clear' }, key: `off ${person}` })
    }
    await operation.poll()
    await settle()
    expect(at(ID.motion).dataset['motion']).toBe('lowering')
    expect(at(ID.onRope).textContent).toMatch(/the load moves.*0.*who is on it\?/s)
    expect(at(ID.onRope).querySelector('[data-mark=zone]')).not.toBeNull()
    expect(at(ID.onRope).className).toContain('amber')
  })

  it('names the rig in use', async () => {
    await shown()
    expect(at(ID.rigInUse).textContent).toContain('lower')
    expect(at(ID.rigInUse).textContent).toContain('lowering')
    expect(screen.queryByTestId(ID.rigTook)).toBeNull()
  })

  it('says on every screen that a rig came into use as it was made, and leads back or stays', async () => {
    const bridge = await shown()
    const make = { do: 'rig', name: 'raise', template: 'raise-3-to-1-and-belay', set: {} }
    await bridge.invoke('act', { step: make, key: 'made' })
    await operation.poll()
    for (const where of ['calls', 'team', 'rig'] as const) {
      place.go(where)
      await settle()
      expect(at(ID.rigTook).textContent).toMatch(/Rig in use: raise.*Before: lower/s)
    }
    await fireEvent.click(at(ID.rigBack))
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'use', rig: 'lower' })
    expect(screen.queryByTestId(ID.rigTook)).toBeNull()
  })

  it('names on its key whom a call will be credited to', async () => {
    await shown()
    expect(at(ID.also(0)).textContent).toContain('litter')
    expect(at(ID.also(2)).textContent).not.toContain('control')
  })

  it('says that a time cannot be one, before and after it is recorded as said', async () => {
    const bridge = await shown()
    await typed('3:99 rope rubs')
    expect(at(ID.dockNote).textContent).toContain('“3:99” is no time of day')
    await key('Enter')
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'note', text: '3:99 rope rubs' })
    expect(at(ID.dockNote).textContent).toContain('“3:99” is no time of day')
  })
})
