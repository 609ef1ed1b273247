import { fireEvent, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it, vi } from 'vitest'
import { history } from '../src/state/history.svelte'
import { place } from '../src/state/place.svelte'
import { operation } from '../src/state/operation.svelte'
import { ID } from '../src/testids'
import { settle } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(() => {
  history.all()
  afresh()
})

const texts = (): string[] => screen.getAllByTestId(ID.row).map((row) => row.textContent?.replace(/\s+/g, ' ').trim() ?? '')
const person = (name: string): HTMLElement => {
  const found = screen.getAllByTestId(ID.partWho).find((one) => one.dataset['person'] === name)
  if (!found) throw new Error(name)
  return found
}
const orderOnly = (): Promise<boolean> => fireEvent.click(at(ID.partKind('orders')))

describe('a part of the line', () => {
  it('by a person, by keys alone: Ctrl F, Tab, Enter; and Ctrl F brings the whole back', async () => {
    await shown()
    await key('f', { ctrlKey: true })
    await settle()
    expect(document.activeElement).toBe(at(ID.partFlagged))
    person('Nina Vogel').focus()
    await fireEvent.click(document.activeElement as Element)
    await settle()
    expect(at(ID.part).textContent).toContain('Only Nina Vogel')
    expect(texts().some((row) => row.includes('edge attendant'))).toBe(true)
    expect(texts().some((row) => row.includes('9 metres'))).toBe(false)
    await key('f', { ctrlKey: true })
    await settle()
    expect(screen.queryByTestId(ID.part)).toBeNull()
    expect(texts().some((row) => row.includes('9 metres'))).toBe(true)
    expect(document.activeElement).toBe(at(ID.freeLine))
  })

  it('by kind and flag, by touch alone, each shown at once and taken back by a second touch', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.partKey))
    await settle()
    await orderOnly()
    await settle()
    const orders = history.total
    expect(at(ID.partKind('orders')).getAttribute('aria-pressed')).toBe('true')
    await fireEvent.click(at(ID.partFlagged))
    await settle()
    expect(history.part).toEqual({ who: null, kind: 'orders', flagged: true })
    expect(history.total).toBeLessThanOrEqual(orders)
    await orderOnly()
    await fireEvent.click(at(ID.partFlagged))
    await settle()
    await settle()
    expect([history.part, screen.queryByTestId(ID.part)]).toEqual([null, null])
    expect(bridge.acted).toEqual([])
  })

  it('keeps every STOP in sight, and says so', async () => {
    await shown()
    await fireEvent.click(at(ID.partKey))
    await settle()
    await fireEvent.click(person('Wanda Ek'))
    await settle()
    expect(texts().some((row) => row.includes('STOP'))).toBe(true)
    expect(at(ID.part).textContent).toContain('Every STOP and change of motion stays')
  })

  it('ends when something is recorded: an entry is never out of sight when it is made', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.partKey))
    await settle()
    await orderOnly()
    await settle()
    await key('Escape')
    await settle()
    expect(bridge.acted).toHaveLength(1)
    expect([history.part, place.parting]).toEqual([null, false])
    expect(texts().at(-1)).toContain('STOP')
    expect(document.activeElement).toBe(at(ID.freeLine))
  })

  it('stands as it was while the part that was asked for does not come, and is gone with its operation', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.partKey))
    await settle()
    const answer = bridge.invoke.bind(bridge)
    vi.spyOn(bridge, 'invoke').mockImplementation((command, args) =>
      command === 'sifted' ? Promise.reject(new Error('gone')) : answer(command, args),
    )
    await orderOnly()
    await settle()
    expect(history.part).toBeNull()
    vi.restoreAllMocks()
    await orderOnly()
    await settle()
    expect(history.part).not.toBeNull()
    operation.leave()
    await settle()
    expect(history.part).toBeNull()
  })

  it('asks for pages and never for all of it, along the line and while it grows', async () => {
    const bridge = await shown()
    const asked = vi.spyOn(bridge, 'invoke')
    await history.ask({ who: null, kind: 'reports', flagged: false })
    await history.home()
    await history.page(1)
    history.refresh()
    await settle()
    const counts = asked.mock.calls.filter(([command]) => command === 'sifted').map(([, args]) => Number(args?.['count']))
    expect(counts.length).toBeGreaterThanOrEqual(3)
    expect(Math.max(...counts)).toBeLessThanOrEqual(120)
  })
})
