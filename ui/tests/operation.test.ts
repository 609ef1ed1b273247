import { afterEach, describe, expect, it, vi } from 'vitest'
import { Operation } from '../src/state/operation.svelte'
import { order, report } from '../src/steps'
import type { View } from '../src/wire/View'
import { settle, withBridge } from './bridge'

const DISK_FULL = { code: 'disk', what: 'the disk is full', where: 'x.ledge', remedy: 'free some space' }
const REFUSED = { code: 'bad_step', what: 'no such role', where: 'from', remedy: 'name a role' }

async function opened() {
  const bridge = withBridge()
  const operation = new Operation()
  operation.show((await bridge.invoke('view')) as View)
  return { bridge, operation }
}

const lower = order(['rope one operator'], 'lower')

afterEach(() => vi.useRealTimers())

describe('an entry', () => {
  it('shows before the disk has it and stands in the view after', async () => {
    const { operation } = await opened()
    const before = operation.view?.saved.count ?? 0
    const written = operation.record(lower)
    expect(operation.pending.map((entry) => [entry.text, entry.side, entry.state])).toEqual([['lower', 'left', 'writing']])
    expect(await written).toHaveProperty('saved.seq', before + 1)
    expect(operation.pending).toEqual([])
    expect(operation.view?.rows.at(-1)?.text).toBe('lower')
  })

  it('is written in the order it was made', async () => {
    const { bridge, operation } = await opened()
    void operation.record(report('edge attendant', 'a'))
    void operation.record(report('edge attendant', 'b'))
    await operation.record(report('edge attendant', 'c'))
    expect(bridge.acted.map((step) => (step as { text?: string }).text)).toEqual(['a', 'b', 'c'])
  })

  it('does not wait for a check that is being worked out', async () => {
    const { bridge, operation } = await opened()
    let reckoned = (): void => {}
    const invoke = bridge.invoke.bind(bridge)
    bridge.invoke = async (command, args) => {
      if (command === 'reckon_check') await new Promise<void>((done) => (reckoned = done))
      return invoke(command, args)
    }
    const check = operation.record({ do: 'check' })
    await operation.record(report('edge attendant', 'stop'))
    expect(bridge.acted.map((step) => step.do)).toEqual(['report'])
    expect(operation.pending.map((entry) => entry.step.do)).toEqual(['check'])
    reckoned()
    await check
    expect(bridge.acted.map((step) => step.do)).toEqual(['report', 'check'])
  })

  it('of a check goes nowhere when the operation was left while it was worked out', async () => {
    const { bridge, operation } = await opened()
    const check = operation.record({ do: 'check' })
    operation.leave()
    expect(await check).toHaveProperty('trouble')
    expect(bridge.acted).toEqual([])
  })

  it('that the disk did not take stays, says so, and is tried again with its own time', async () => {
    const { bridge, operation } = await opened()
    bridge.failing = DISK_FULL
    expect(await operation.record(lower)).toMatchObject({ trouble: DISK_FULL })
    expect(operation.trouble?.what).toBe('the disk is full')
    expect(operation.pending[0]?.state).toBe('failed')
    const said = operation.pending[0]?.atMs ?? 0
    vi.spyOn(operation.clock, 'exact').mockReturnValue(said + 5000)
    bridge.failing = null
    await operation.poll()
    await settle()
    expect(operation.pending).toEqual([])
    expect(operation.trouble).toBeNull()
    const [step] = bridge.acted
    expect(Date.parse(step?.happened ?? '')).toBe(Math.floor(said / 1000) * 1000)
  })

  it('that was refused is kept until it is taken back, and not sent again', async () => {
    const { bridge, operation } = await opened()
    bridge.failing = REFUSED
    await operation.record(lower)
    bridge.failing = null
    await operation.poll()
    await settle()
    expect(bridge.acted).toEqual([])
    const [entry] = operation.pending
    expect(entry?.state).toBe('refused')
    expect(operation.takeBack(entry?.key ?? 0)).toEqual(lower)
    expect(operation.pending).toEqual([])
  })
})

describe('what the disk did not take', () => {
  it.each(['disk', 'file_locked', 'file_read_only', 'written_elsewhere', 'no_answer'])(
    'stays on the screen and is saved when it can be, in order, once each: %s',
    async (code) => {
      const { bridge, operation } = await opened()
      bridge.failing = { ...DISK_FULL, code }
      for (const text of ['a', 'b', 'c']) await operation.record(report('edge attendant', text))
      await operation.poll()
      await settle()
      expect(operation.pending.map((one) => [one.text, one.state])).toEqual([
        ['a', 'failed'],
        ['b', 'failed'],
        ['c', 'failed'],
      ])
      expect(operation.trouble?.code).toBe(code)
      bridge.failing = null
      await operation.poll()
      await settle()
      expect(operation.pending).toEqual([])
      expect(operation.trouble).toBeNull()
      expect(bridge.acted.map((step) => (step as { text?: string }).text)).toEqual(['a', 'b', 'c'])
    },
  )

  it('is written before what was said after it, even when the disk comes back in between', async () => {
    const { bridge, operation } = await opened()
    bridge.failing = DISK_FULL
    await operation.record(report('edge attendant', 'a'))
    bridge.failing = null
    expect(await operation.record(report('edge attendant', 'b'))).toMatchObject({ trouble: DISK_FULL })
    await operation.poll()
    await settle()
    expect(bridge.acted.map((step) => (step as { text?: string }).text)).toEqual(['a', 'b'])
  })

  it('is not doubled when it was taken and only the answer was lost', async () => {
    const { bridge, operation } = await opened()
    bridge.losing = { ...DISK_FULL, code: 'no_answer' }
    await operation.record(lower)
    expect(operation.pending[0]?.state).toBe('failed')
    bridge.losing = null
    await operation.poll()
    await settle()
    expect(operation.pending).toEqual([])
    expect(bridge.acted).toHaveLength(1)
  })

  it('for a fault of the program is tried three times, then left to the scribe', async () => {
    const { bridge, operation } = await opened()
    bridge.failing = { ...DISK_FULL, code: 'fault' }
    await operation.record(lower)
    expect(operation.pending[0]?.state).toBe('failed')
    for (let i = 0; i < 3; i += 1) {
      await operation.poll()
      await settle()
    }
    expect(operation.pending[0]).toMatchObject({ state: 'refused', tries: 3 })
  })
})

describe('a program that reads along', () => {
  it('says so without alarm, keeps what is entered, and saves it once it may write', async () => {
    const { bridge, operation } = await opened()
    bridge.holder = 'a Ledgebook window since 13:02'
    await operation.poll()
    expect(operation.trouble).toBeNull()
    await operation.record(lower)
    expect(operation.pending[0]).toMatchObject({ state: 'failed', trouble: { code: 'file_locked' } })
    bridge.holder = ''
    await operation.poll()
    await settle()
    expect(bridge.acted).toEqual([])
    await operation.takeOver()
    await operation.poll()
    await settle()
    expect(operation.pending).toEqual([])
    expect(bridge.acted).toHaveLength(1)
  })
})

describe('a disk that stalls', () => {
  it('is said after three seconds, and no longer when it answers', async () => {
    const { bridge, operation } = await opened()
    const invoke = bridge.invoke.bind(bridge)
    let answer = (): void => {}
    vi.spyOn(bridge, 'invoke').mockImplementation(async (command, args) => {
      await new Promise<void>((done) => (answer = done))
      return invoke(command, args)
    })
    const written = operation.record(lower)
    await settle()
    expect(operation.stalled).toBe(false)
    operation.clock.set(operation.clock.exact() + 4500)
    expect(operation.stalled).toBe(true)
    answer()
    await written
    expect(operation.stalled).toBe(false)
  })
})

describe('a poll', () => {
  it('is not asked again while it is not answered; after five seconds that is said', async () => {
    const { bridge, operation } = await opened()
    const invoke = vi.spyOn(bridge, 'invoke').mockReturnValue(new Promise(() => {}))
    void operation.poll()
    await operation.poll()
    expect(invoke).toHaveBeenCalledTimes(1)
    expect(operation.trouble).toBeNull()
    operation.clock.set(operation.clock.exact() + 6000)
    await operation.poll()
    expect(invoke).toHaveBeenCalledTimes(1)
    expect(operation.trouble?.code).toBe('no_answer')
  })

  it('that was answered before an entry does not take it off the screen', async () => {
    const { bridge, operation } = await opened()
    const old = bridge.view()
    await operation.record(lower)
    operation.show(old)
    expect(operation.view?.rows.at(-1)?.text).toBe('lower')
  })

  it('that is not answered turns the saved mark red until one is', async () => {
    const { bridge, operation } = await opened()
    const invoke = vi.spyOn(bridge, 'invoke').mockRejectedValue(new Error('gone'))
    await operation.poll()
    expect(operation.trouble?.code).toBe('no_answer')
    invoke.mockRestore()
    await operation.poll()
    expect(operation.trouble).toBeNull()
  })
})
