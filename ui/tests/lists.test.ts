import { fireEvent } from '@testing-library/svelte'
import { beforeEach, describe, expect, it } from 'vitest'
import { place } from '../src/state/place.svelte'
import { ID } from '../src/screens/testids'
import { settle } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(afresh)

async function list() {
  const bridge = await shown()
  place.go('rig')
  await settle()
  await key('w')
  await settle()
  return { bridge, select: at(ID.figuresSum) as HTMLSelectElement }
}

/** Options in sight; 0: folded. */
const rows = (select: HTMLElement): number => Number(select.getAttribute('size') ?? 0)

describe('a list of options', () => {
  it('opens on the page, by a press and by keys, and never in a window of its own that would keep the keys', async () => {
    const { select } = await list()
    // What is not prevented opens the system's list.
    expect(await fireEvent.mouseDown(select)).toBe(false)
    expect(rows(select)).toBeGreaterThan(1)
    await fireEvent.blur(select)
    expect(rows(select)).toBe(0)
    for (const more of [{ key: ' ' }, { key: 'ArrowDown' }, { key: 'ArrowUp', altKey: true }]) {
      select.focus()
      expect(await fireEvent.keyDown(select, more)).toBe(false)
      expect(rows(select)).toBeGreaterThan(1)
      // Enter chooses and folds it; the form is not recorded by that.
      expect(await fireEvent.keyDown(select, { key: 'Enter' })).toBe(false)
      expect(rows(select)).toBe(0)
    }
  })

  it('folds when an option is pressed', async () => {
    const { select } = await list()
    await fireEvent.mouseDown(select)
    const option = select.options[1] as HTMLOptionElement
    expect(await fireEvent.mouseDown(option)).toBe(true)
    await fireEvent.mouseUp(option)
    expect(rows(select)).toBe(0)
  })

  it('takes nothing from STOP while it is open', async () => {
    const { bridge, select } = await list()
    await fireEvent.mouseDown(select)
    await fireEvent.keyDown(select, { key: 'Escape' })
    await settle()
    expect(bridge.acted.at(-1)).toMatchObject({ do: 'order', text: 'stop' })
  })
})
