import { fireEvent, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it } from 'vitest'
import { keyOf, lineOf, stepOf } from '../src/screens/calls/changeOver'
import { ID } from '../src/testids'
import { settle } from './bridge'
import { afresh, at, key, later, shown } from './window'

beforeEach(afresh)

const list = (): HTMLElement | null => screen.queryByTestId(ID.changeOver)
const lines = (): HTMLElement[] => screen.getAllByTestId(ID.changeOverLine)
const input = (): HTMLInputElement => at(ID.freeLine) as HTMLInputElement

async function opened() {
  const bridge = await shown()
  await key('o', { ctrlKey: true })
  await settle()
  return bridge
}

describe('the change-over’s list', () => {
  it('is one gesture away, by keys and by touch, and gives the keys back', async () => {
    await opened()
    expect(list()).toBe(document.activeElement)
    expect(list()?.dataset).toMatchObject({ to: 'raise', owed: '9' })
    await key('Backspace')
    await settle()
    expect([list(), document.activeElement]).toEqual([null, input()])
    await fireEvent.click(at(ID.rigInUse))
    expect(list()).not.toBeNull()
    await fireEvent.click(at(ID.changeOverDone))
    expect(list()).toBeNull()
  })

  it('meets a line by its number, says then what the record says, and stays', async () => {
    const bridge = await opened()
    await key('2')
    await settle()
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'order', from: 'control', text: 'change over to raise' })
    expect(lines()[1]?.dataset['standing']).toBe('done')
    expect(lines()[1]?.textContent).toMatch(/\d\d:\d\d:\d\d, entry \d+/)
    expect(list()).toBe(document.activeElement)
    // What is done is not said twice by its key.
    const count = bridge.acted.length
    later(1000)
    await key('2')
    await settle()
    expect(bridge.acted).toHaveLength(count)
  })

  it('meets a line by touch, and takes a bounce for one press', async () => {
    const bridge = await opened()
    const touch = lines()[3]?.querySelector('button') as HTMLButtonElement
    await fireEvent.click(touch)
    await fireEvent.click(touch)
    await settle()
    await settle()
    expect(bridge.acted.filter((step) => 'text' in step && step.text === 'tied off')).toHaveLength(1)
    expect(lines()[2]?.dataset['standing']).toBe('free')
  })

  it('leaves Escape what it is', async () => {
    const bridge = await opened()
    await key('Escape')
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'order', text: 'stop' })
    expect(document.activeElement).toBe(input())
  })

  it('holds no call up: what is typed goes into the free line', async () => {
    const bridge = await opened()
    const count = bridge.acted.length
    await key('e')
    await settle()
    expect([input().value, document.activeElement, bridge.acted.length]).toEqual(['e', input(), count])
  })

  it('goes the other way when asked, and to Team for a role that nobody has', async () => {
    await opened()
    await fireEvent.click(at(ID.changeOverTurn))
    expect(list()?.dataset['to']).toBe('lower')
    await key('5')
    await settle()
    expect(screen.queryByTestId(ID.rail('team'))?.getAttribute('aria-current')).toBeTruthy()
  })
})

it('keys are the numbers of the lines, the tenth is 0', () => {
  expect([0, 8, 9, 10].map(keyOf)).toEqual(['1', '9', '0', ''])
  expect([lineOf('1', 10), lineOf('0', 10), lineOf('0', 9), lineOf('9', 4), lineOf('e', 10)]).toEqual([0, 9, null, null, null])
})

it('a call goes by the channel that is chosen; what is no call does not', () => {
  expect(stepOf({ label: '', step: { do: 'report', from: 'a', text: 'b' } }, 'voice')).toMatchObject({ by: 'voice' })
  expect(stepOf({ label: '', step: { do: 'use', rig: 'a', state: 'b' } }, 'voice')).toEqual({ do: 'use', rig: 'a', state: 'b' })
})
