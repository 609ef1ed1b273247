import { beforeEach, describe, expect, it, vi } from 'vitest'
import { runsUntil } from '../src/screens/calls/entries'
import { changesOf, fieldOf, timeOf } from '../src/state/correction'
import { History } from '../src/state/history.svelte'
import { FreeLine } from '../src/state/line.svelte'
import { Operation } from '../src/state/operation.svelte'
import type { LineRow } from '../src/wire/LineRow'
import type { View } from '../src/wire/View'
import { settle, withBridge } from './bridge'

const REFUSED = { code: 'bad_step', what: 'no such role', where: 'from', remedy: 'name a role' }
const DISK_FULL = { code: 'disk', what: 'the disk is full', where: 'x.ledge', remedy: 'free some space' }

async function opened(untilS?: number) {
  const bridge = withBridge(untilS === undefined ? {} : { untilS })
  const operation = new Operation()
  operation.show((await bridge.invoke('view')) as View)
  const history = new History(operation)
  return { bridge, operation, history, line: new FreeLine(operation, history) }
}

const rowOf = (view: View, find: (row: LineRow) => boolean): LineRow => {
  const row = view.rows.find(find)
  if (!row) throw new Error('the story has no such row')
  return row
}

describe('the free line', () => {
  it('records what stands at its right, and is free again', async () => {
    const { bridge, line } = await opened()
    line.type('e rdy')
    await settle()
    expect(line.chosen?.text).toBe('ready')
    await line.enter()
    expect(bridge.acted.at(-1)).toMatchObject({ from: 'edge attendant', text: 'ready' })
    expect(line.text).toBe('')
  })

  it('waits for the answer to the last key stroke when Enter is quicker', async () => {
    const { bridge, line } = await opened()
    const invoke = bridge.invoke.bind(bridge)
    vi.spyOn(bridge, 'invoke').mockImplementation(async (command, args) => {
      if (command === 'complete') await settle()
      return invoke(command, args)
    })
    line.type('2')
    line.type('2 set')
    await line.enter()
    expect(bridge.acted).toHaveLength(1)
    expect(bridge.acted[0]).toMatchObject({ from: 'rope two operator', text: 'set' })
  })

  it('never records half a word when something is asked anew while the answer is on its way', async () => {
    const { bridge, line } = await opened()
    const invoke = bridge.invoke.bind(bridge)
    vi.spyOn(bridge, 'invoke').mockImplementation(async (command, args) => {
      if (command === 'complete') await settle()
      return invoke(command, args)
    })
    line.type('patient in sig')
    await settle()
    await settle()
    line.type('patient in sight')
    const recording = line.enter()
    // The motion changed.
    line.ask()
    await recording
    expect(bridge.acted.map((step) => step['text' as keyof typeof step])).toEqual(['patient in sight'])
  })

  it('takes what is typed after Enter as the next line, in order', async () => {
    const { bridge, line } = await opened()
    const invoke = bridge.invoke.bind(bridge)
    let slow = 30
    vi.spyOn(bridge, 'invoke').mockImplementation(async (command, args) => {
      // Each answer comes quicker than the one before it.
      if (command === 'complete') await new Promise((done) => setTimeout(done, (slow -= 4)))
      return invoke(command, args)
    })
    line.type('rain')
    const first = line.enter()
    expect(line.text).toBe('')
    line.type('2 set')
    const second = line.enter()
    line.type('fog')
    const third = line.enter()
    expect(line.inHand).toEqual(['rain', '2 set', 'fog'])
    await Promise.all([first, second, third])
    expect(line.inHand).toEqual([])
    expect(bridge.acted.map((step) => step['text' as keyof typeof step])).toEqual(['rain', 'set', 'fog'])
    expect(line.text).toBe('')
  })

  it('takes another candidate with ↓, around and back', async () => {
    const { bridge, line } = await opened()
    line.type('e rdy')
    await settle()
    const count = line.candidates.length
    line.next(1)
    line.next(1)
    line.next(-1)
    expect(line.choice).toBe(1 % count)
    const second = line.chosen
    await line.enter()
    expect(bridge.acted.at(-1)).toMatchObject(second?.step as object)
  })

  it('offers the next metres after a bare m, never first', async () => {
    const { line } = await opened()
    line.type('m ')
    await settle()
    expect(line.chosen?.step['metres']).toBeUndefined()
    expect(line.candidates.map((one) => one.step['metres']).filter((m) => m !== undefined)).toEqual([10, 11, 14])
    line.type('m 1')
    await settle()
    expect(line.candidates.filter((one) => one.step['metres'] !== undefined)).toHaveLength(1)
  })

  it('says by what it was said, unless the line does', async () => {
    const { bridge, line } = await opened()
    await line.record({ who: '', text: '', step: { do: 'report', from: 'edge attendant', text: 'ready' }, doubt: '' })
    await line.record({ who: '', text: '', step: { do: 'report', from: 'edge attendant', text: 'ready', by: 'hand' }, doubt: '' })
    await line.record({ who: '', text: '', step: { do: 'note', from: 'scribe', text: 'rain' }, doubt: '' })
    expect(bridge.acted.map((step) => step.by)).toEqual(['radio', 'hand', undefined])
  })

  it('records nothing on Enter when it is empty, even while a stop offers words', async () => {
    const { bridge, line } = await opened(1515)
    line.ask()
    await settle()
    expect(line.candidates.length).toBeGreaterThan(0)
    await line.enter()
    expect(bridge.acted).toEqual([])
    line.next(1)
    await line.enter()
    expect(bridge.acted).toHaveLength(1)
  })

  it('gets its words back when they were refused, with the reason', async () => {
    const { bridge, operation, line } = await opened()
    bridge.failing = REFUSED
    line.type('e rdy')
    await line.enter()
    await settle()
    expect(line.text).toBe('e rdy')
    expect(line.refused).toEqual(REFUSED)
    expect(operation.pending).toEqual([])
  })

  it('keeps an entry the disk did not take on the line, and is free for the next', async () => {
    const { bridge, operation, line } = await opened()
    bridge.failing = DISK_FULL
    line.type('e rdy')
    await line.enter()
    expect(line.text).toBe('')
    expect(operation.pending.map((entry) => entry.state)).toEqual(['failed'])
  })

  it('does not overwrite what was typed while a refusal was on its way', async () => {
    const { bridge, line } = await opened()
    bridge.failing = REFUSED
    line.type('e rdy')
    await settle()
    const recording = line.enter()
    await Promise.resolve()
    line.type('1')
    await recording
    expect(line.text).toBe('1')
  })

  it('still offers a note when the program does not answer', async () => {
    const { bridge, line } = await opened()
    vi.spyOn(bridge, 'invoke').mockRejectedValue(new Error('gone'))
    line.type('smoke to the south')
    await settle()
    expect(line.chosen?.step).toMatchObject({ do: 'note', text: 'smoke to the south' })
  })
})

describe('a correction', () => {
  it('opens the last entry on a fresh Backspace, and names it', async () => {
    const { bridge, operation, line } = await opened()
    line.backspace()
    const last = operation.view?.rows.at(-1)
    expect(line.correcting?.id).toBe(last?.id)
    expect(line.text).toBe(last?.text)
    line.type('slow')
    await line.enter()
    expect(bridge.acted.at(-1)).toEqual({ do: 'correct', of: last?.id, text: 'slow' })
    expect(line.correcting).toBeNull()
  })

  it('that changes nothing records nothing', async () => {
    const { bridge, line } = await opened()
    line.backspace()
    await settle()
    await line.enter()
    expect(bridge.acted).toEqual([])
    expect(line.correcting).toBeNull()
  })

  it('is left with Backspace on its empty line', async () => {
    const { line } = await opened()
    line.backspace()
    line.type('')
    line.backspace()
    expect(line.correcting).toBeNull()
  })

  it('gives the half word back that was typed before it', async () => {
    const { operation, line } = await opened()
    const row = operation.view?.rows.at(-2) as LineRow
    line.type('e rd')
    line.open(row)
    expect(line.text).toBe(row.text)
    line.type('')
    line.backspace()
    expect(line.text).toBe('e rd')
  })

  it('stands back for a stop when nothing was typed in it, and stays when something was', async () => {
    const { line } = await opened()
    line.type('e rd')
    line.standBack()
    expect(line.text).toBe('e rd')
    line.type('')
    line.backspace()
    line.standBack()
    expect(line.correcting).toBeNull()
    line.backspace()
    line.type('slower')
    line.standBack()
    expect(line.text).toBe('slower')
    expect(line.correcting).not.toBeNull()
  })

  it('of an entry further back: ↑ walks, Enter opens', async () => {
    const { operation, line } = await opened()
    const rows = operation.view?.rows ?? []
    await line.walkBy(-1)
    await line.walkBy(-1)
    await line.enter()
    expect(line.correcting?.id).toBe(rows.at(-2)?.id)
  })

  it('of a stop changes its cause and who called it, never that it was a stop', async () => {
    const { operation } = await opened()
    const view = operation.view as View
    const stop = rowOf(view, (row) => row.side === 'across')
    expect(fieldOf(stop)).toEqual({ name: 'cause', value: 'rope two off the roller' })
    expect(changesOf(stop, 'rope one off the roller', view)[0]?.step).toEqual({
      do: 'correct',
      of: stop.id,
      cause: 'rope one off the roller',
    })
    expect(changesOf(stop, 'l', view)[0]?.step).toEqual({ do: 'correct', of: stop.id, from: 'litter attendant' })
  })

  it('of metres changes the number with the words', async () => {
    const { operation } = await opened()
    const view = operation.view as View
    const row = rowOf(view, (one) => one.text === '9 metres')
    expect(changesOf(row, '8.5 metres', view)[0]?.step).toEqual({
      do: 'correct',
      of: row.id,
      text: '8.5 metres',
      metres: 8.5,
    })
  })

  it('of the time says when it happened', async () => {
    const { operation } = await opened()
    const view = operation.view as View
    const row = rowOf(view, (one) => one.text === '9 metres')
    expect(changesOf(row, '13:30 9 metres', view)[0]?.step).toEqual({
      do: 'correct',
      of: row.id,
      happened: '2026-05-14T13:30:00+02:00',
    })
  })
})

describe('a time before a line', () => {
  let view: View
  beforeEach(async () => {
    view = (await opened()).operation.view as View
  })

  const at = (iso: string): number => Date.parse(iso)

  it.each([
    ['14:02 lower', null],
    ['13:02 lower', at('2026-05-14T13:02:00+02:00')],
    ['13:02:07 lower', at('2026-05-14T13:02:07+02:00')],
    ['25:02 lower', null],
    ['lower 13:02', null],
  ])('%s', (line, expected) => {
    const { ms, rest } = timeOf(line, view)
    // A time that is still to come was said yesterday.
    if (line.startsWith('14:02')) expect(ms).toBe(at('2026-05-13T14:02:00+02:00'))
    else expect(ms).toBe(expected)
    expect(rest).toBe(expected === null && !line.startsWith('14:02') ? line : 'lower')
  })

  it('may be counted back from now', () => {
    expect(timeOf('-2m lower', view).ms).toBe(view.now_ms - 120_000)
    expect(timeOf('-30s lower', view).ms).toBe(view.now_ms - 30_000)
  })
})

describe('along the line', () => {
  it('goes back by what is seen and comes back to now', async () => {
    const { operation, history } = await opened()
    const total = operation.view?.total_rows ?? 0
    history.fit = 10
    await history.page(-1)
    expect(history.end).toBe(total - 8)
    expect(history.newer).toBe(8)
    expect(history.shown.rows.at(-1)).toEqual(operation.view?.rows.at(-9))
    await history.home()
    expect(history.end).toBe(10)
    await history.page(1)
    history.now()
    expect(history.end).toBeNull()
  })

  it('never goes before the first entry', async () => {
    const { history } = await opened()
    history.fit = 10
    for (let i = 0; i < 30; i += 1) await history.page(-1)
    expect(history.end).toBe(10)
  })
})

describe('clocks of the line', () => {
  it('stand when the operation is closed, whatever is entered after it', async () => {
    const { operation } = await opened()
    const view = operation.view as View
    const last = (view.rows.at(-1) as LineRow).at_ms
    expect(runsUntil(view, last + 5_000)).toBe(last + 5_000)
    const at = (closed_ms: number): View => ({ ...view, operation: { ...view.operation, closed_ms } })
    expect(runsUntil(at(last + 2_000), last + 9_000_000)).toBe(last + 2_000)
    expect(runsUntil(at(last - 2_000), last + 9_000_000)).toBe(last - 2_000)
  })
})
