import { fireEvent, render, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it } from 'vitest'
import App from '../src/App.svelte'
import { leaving } from '../src/state/leaving.svelte'
import { operation } from '../src/state/operation.svelte'
import { place } from '../src/state/place.svelte'
import { ID } from '../src/testids'
import { settle, withBridge } from './bridge'

const DISK_FULL = { code: 'disk', what: 'the disk is full', where: 'x.ledge', remedy: 'free some space' }
const at = (id: string): HTMLElement => screen.getByTestId(id)
const said = (event: string): boolean => globalThis.dispatchEvent(new Event(event))

beforeEach(() => {
  operation.leave()
  leaving.stay()
  place.go('calls')
})

async function shown(unsaved: number) {
  const bridge = withBridge()
  render(App)
  await settle()
  await settle()
  bridge.failing = unsaved > 0 ? DISK_FULL : null
  for (let i = 0; i < unsaved; i += 1) await operation.record({ do: 'note', from: 'scribe', text: `words ${i + 1}` })
  await settle()
  return bridge
}

describe('closing the window', () => {
  it('is done at once when all is on the disk', async () => {
    const bridge = await shown(0)
    said('ledgebook-close')
    await settle()
    expect(bridge.left).toBe(true)
  })

  it('is asked with entries that are not saved, names them, and can be left', async () => {
    const bridge = await shown(2)
    expect(bridge.told).toEqual([2, false])
    said('ledgebook-close')
    await settle()
    expect(bridge.left).toBe(false)
    expect(bridge.told).toEqual([2, true])
    expect(at(ID.leaving).textContent).toMatch(/2 entries are not saved.*words 1; .*words 2.*the disk is full/s)
    await fireEvent.click(at(ID.leavingStay))
    await settle()
    expect(screen.queryByTestId(ID.leaving)).toBeNull()
    expect([bridge.left, operation.pending.length]).toEqual([false, 2])
    said('ledgebook-close')
    await settle()
    await fireEvent.click(at(ID.leavingGo))
    await settle()
    expect(bridge.left).toBe(true)
  })

  it('is told again to a program that missed it, when it is asked a second time', async () => {
    const bridge = await shown(1)
    said('ledgebook-close')
    await settle()
    bridge.told = [3, false]
    said('ledgebook-close')
    await settle()
    expect([bridge.told, bridge.left]).toEqual([[1, true], false])
  })

  it('goes on by itself once the disk takes them', async () => {
    const bridge = await shown(1)
    said('ledgebook-close')
    await settle()
    bridge.failing = null
    await fireEvent.click(at(ID.leavingAgain))
    await settle()
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ text: 'words 1' })
    expect(bridge.left).toBe(true)
  })
})

describe('the end of the program by the system', () => {
  it('is a last try to save, and the program hears when nothing is left', async () => {
    const bridge = await shown(2)
    bridge.failing = null
    said('ledgebook-last-try')
    await settle()
    await settle()
    expect(bridge.acted.slice(-2)).toMatchObject([{ text: 'words 1' }, { text: 'words 2' }])
    expect(bridge.told).toEqual([0, false])
    expect(bridge.left).toBe(false)
  })
})
