import { cleanup, fireEvent, render, screen } from '@testing-library/svelte'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { MockBridge } from '../../src/mock/bridge'
import { ID } from '../../src/screens/testids'
import { operation } from '../../src/state/operation.svelte'
import { settle, withBridge } from '../bridge'
import TeamUnderTest from './TeamUnderTest.svelte'

let bridge: MockBridge

beforeEach(() => {
  bridge = withBridge()
  operation.show(bridge.view())
  render(TeamUnderTest)
})
afterEach(() => {
  cleanup()
  operation.leave()
})

const press = async (key: string, target: Element = document.activeElement ?? document.body): Promise<void> => {
  await fireEvent.keyDown(target, { key })
  await settle()
}
/** Types into a field and ends with Enter, which a browser turns into the form's submission. */
const enter = async (testid: string, text: string): Promise<void> => {
  const field = screen.getByTestId(testid)
  await fireEvent.input(field, { target: { value: text } })
  await settle()
}
const submit = async (testid: string): Promise<void> => {
  await fireEvent.submit(screen.getByTestId(testid))
  await settle()
  await settle()
}
const chosen = (): string | null => document.querySelector('[aria-selected=true][role=option]')?.getAttribute('data-person') ?? null
const choose = async (person: string): Promise<void> => {
  await fireEvent.click(document.querySelector(`[data-person="${person}"]`) as Element)
  await settle()
}

describe('what Team tells', () => {
  it('says how long each has had the role', () => {
    const role = (person: string): string => document.querySelector(`[data-person="${person}"] .role`)?.textContent ?? ''
    expect(role('Ilse Brandt')).toMatch(/^incident commander 0:29 h$/)
    expect(role('Jo Marsh')).toBe('no role')
  })

  it('says how long ago the roll was called, and who answered', () => {
    expect(screen.getByTestId(ID.teamRollCall).textContent).toMatch(/Roll call 2:3\d ago, 5 of 5/)
  })
})

describe('Team by keyboard', () => {
  it('walks the rows along the rope, the vacant role among them', async () => {
    expect(chosen()).toBe('Ilse Brandt')
    await press('ArrowDown')
    expect(chosen()).toBe('Marek Duval')
    expect(document.activeElement?.getAttribute('data-person')).toBe('Marek Duval')
    await choose('Jo Marsh')
    await press('ArrowDown')
    expect(document.activeElement?.getAttribute('data-role')).toBe('tailer')
  })

  it('checks people in with their role, one after the other', async () => {
    await press('i')
    expect(document.activeElement).toBe(screen.getByTestId(ID.inName))
    await enter(ID.inName, 'Aino Bakke')
    await enter(ID.inRole, 't')
    await enter(ID.inQualifications, 'tailer, haul team')
    await submit(ID.formCheckIn)
    await enter(ID.inName, 'Luca Rey')
    await submit(ID.formCheckIn)
    expect(bridge.acted).toEqual([
      { do: 'check_in', person: 'Aino Bakke', qualifications: ['tailer', 'haul team'] },
      { do: 'assign', role: 'tailer', person: 'Aino Bakke' },
      { do: 'check_in', person: 'Luca Rey' },
    ])
    expect(document.activeElement).toBe(screen.getByTestId(ID.inName))
  })

  it('begins with the form while nobody is here, though roles are vacant', async () => {
    cleanup()
    operation.leave()
    bridge = withBridge({ untilS: -1 })
    operation.show(bridge.view())
    render(TeamUnderTest)
    await settle()
    expect(document.activeElement).toBe(screen.getByTestId(ID.inName))
  })

  it('records nothing from a form without a name, or with a role nobody knows', async () => {
    await press('i')
    await submit(ID.formCheckIn)
    await enter(ID.inName, 'Aino Bakke')
    await enter(ID.inRole, 'xyzzy')
    await submit(ID.formCheckIn)
    expect(bridge.acted).toEqual([])
    await enter(ID.inName, '')
    await enter(ID.inRole, '')
  })

  it('gives the letters to a field that has the focus', async () => {
    await press('i')
    await press('p')
    expect(screen.queryByTestId(ID.formPar)).toBeNull()
    expect(screen.getByTestId(ID.formCheckIn)).toBeTruthy()
  })

  it('puts a form away with Backspace in an empty field, not in a filled one', async () => {
    await press('i')
    await enter(ID.inName, 'Ai')
    await press('Backspace')
    expect(screen.queryByTestId(ID.formCheckIn)).toBeTruthy()
    await enter(ID.inName, '')
    await press('Backspace')
    expect(screen.queryByTestId(ID.formCheckIn)).toBeNull()
    expect(chosen()).toBe('Ilse Brandt')
  })

  it('moves the chosen person, and the choice goes with him', async () => {
    await choose('Gil Ferro')
    await press('s')
    await press('s')
    expect(bridge.acted).toEqual([{ do: 'zone', person: 'Gil Ferro', zone: 'clear' }])
    expect(chosen()).toBe('Gil Ferro')
    expect(document.querySelector('[data-person="Gil Ferro"]')?.getAttribute('data-zone')).toBe('clear')
  })

  it.each([
    ['e', 'edge'],
    ['r', 'on_rope'],
  ])('asks with %s whether someone is tied in, and records only what was said', async (key, zone) => {
    await choose('Jo Marsh')
    await press(key)
    await submit(ID.formZone)
    expect(bridge.acted).toEqual([])
    await press('y')
    await enter(ID.zonePartner, 'ruben')
    await submit(ID.formZone)
    expect(bridge.acted).toEqual([
      { do: 'zone', person: 'Jo Marsh', zone, tied_in: true, partner: 'Ruben Castell' },
    ])
  })

  it('fills the vacant role at one touch, and by Enter on its row', async () => {
    await fireEvent.click(screen.getByTestId(ID.teamAssign))
    await settle()
    expect(bridge.acted).toEqual([{ do: 'assign', role: 'tailer', person: 'Jo Marsh' }])
    expect(screen.queryByTestId(ID.teamVacancy)).toBeNull()
  })

  it('does not assign by Enter while a person is chosen: the role form opens', async () => {
    await press('Enter')
    expect(bridge.acted).toEqual([])
    expect(screen.getByTestId(ID.formRole)).toBeTruthy()
  })

  it('gives a role by its code and takes one back', async () => {
    await choose('Jo Marsh')
    await press('a')
    await enter(ID.rolePick, 'h')
    await submit(ID.formRole)
    expect(bridge.acted).toEqual([{ do: 'assign', role: 'haul team', person: 'Jo Marsh' }])
    await press('a')
    await fireEvent.click(screen.getByText('relieve of haul team'))
    await settle()
    expect(bridge.acted[1]).toEqual({ do: 'relieve', role: 'haul team', person: 'Jo Marsh' })
  })

  it('hands a role over as two entries', async () => {
    await choose('Marek Duval')
    await press('h')
    await enter(ID.handOverTo, 'pia')
    await submit(ID.formHandOver)
    expect(bridge.acted).toEqual([
      { do: 'assign', role: 'control', person: 'Pia Renner' },
      { do: 'relieve', role: 'control', person: 'Marek Duval' },
    ])
  })

  it('checks out only after it was asked, and says what is still open', async () => {
    await choose('Aksel Thorne')
    await press('o')
    expect(screen.getByTestId(ID.formCheckOut).textContent).toContain('still on rope')
    expect(bridge.acted).toEqual([])
    await submit(ID.formCheckOut)
    expect(bridge.acted).toEqual([{ do: 'check_out', person: 'Aksel Thorne' }])
  })

  it('records a PAR as counted, with who is missing', async () => {
    await press('p')
    await submit(ID.formPar)
    expect(bridge.acted).toEqual([])
    await enter(ID.parCount, '11')
    await fireEvent.click(screen.getByRole('button', { name: 'Gil Ferro' }))
    await submit(ID.formPar)
    expect(bridge.acted).toEqual([{ do: 'par', count: 11, of: 12, missing: ['Gil Ferro'] }])
  })

  it('keeps a refused form and shows what to do, in place', async () => {
    await press('i')
    await enter(ID.inName, 'Aino Bakke')
    bridge.failing = { code: 'bad_step', what: 'the name is too long', where: 'person', remedy: 'shorten it' }
    await submit(ID.formCheckIn)
    expect(screen.getByRole('alert').textContent).toContain('shorten it')
    expect((screen.getByTestId(ID.inName) as HTMLInputElement).value).toBe('Aino Bakke')
    expect(operation.pending).toEqual([])
  })
})
