import { drawn } from '../../src/mock/check'
import { cleanup, fireEvent, render, screen } from '@testing-library/svelte'
import { afterEach, describe, expect, it, vi } from 'vitest'
import type { MockBridge } from '../../src/mock/bridge'
import { painted } from '../../src/screens/rig/ahead'
import { ID } from '../../src/screens/testids'
import { operation } from '../../src/state/operation.svelte'
import { partEdits } from '../../src/state/partEdits.svelte'
import { rigDraft } from '../../src/state/rigDraft.svelte'
import { settle, withBridge } from '../bridge'
import RigUnderTest from './RigUnderTest.svelte'

const BEFORE_THE_RIG_S = 300

async function shown(untilS?: number): Promise<MockBridge> {
  const bridge = withBridge(untilS === undefined ? {} : { untilS })
  operation.show(bridge.view())
  render(RigUnderTest)
  await settle()
  return bridge
}
afterEach(() => {
  operation.leave()
  rigDraft.drop()
  partEdits.drop()
})

const press = async (key: string, target: Element = document.activeElement ?? document.body): Promise<void> => {
  await fireEvent.keyDown(target, { key })
  await settle()
}
const type = async (testid: string, value: string): Promise<void> => {
  await fireEvent.input(screen.getByTestId(testid), { target: { value } })
  await settle()
}
const submit = async (testid: string): Promise<void> => {
  await fireEvent.submit(screen.getByTestId(testid))
  await settle()
  await settle()
}
const pick = async (id: string): Promise<void> => {
  await fireEvent.click(document.querySelector(`[data-part="${id}"][role=button]`) as Element)
  await settle()
}
/** The preview waits until typing has settled. */
const previewed = (): Promise<void> => new Promise((done) => setTimeout(done, 260))

describe('making a rig', () => {
  it('says what to do when there is none, and shows the template in hand', async () => {
    await shown(BEFORE_THE_RIG_S)
    expect(screen.getByTestId(ID.rigEmpty).textContent).toContain('No rig yet: choose a template')
    expect(document.activeElement).toBe(screen.getByTestId(ID.template('twin-lower-two-knots')))
    await press('ArrowDown')
    expect(document.activeElement).toBe(screen.getByTestId(ID.template('twin-lower-one-knot')))
    expect(screen.getByTestId(ID.rigDrawing).querySelector('svg')?.getAttribute('aria-label')).toContain('one focal knot')
  })

  it('records the rig and then its check, with units put behind bare numbers', async () => {
    const bridge = await shown(BEFORE_THE_RIG_S)
    await press('1')
    expect((screen.getByTestId(ID.rigName) as HTMLInputElement).value).toBe('lower')
    await type(ID.param('load'), '280')
    await submit(ID.rigForm)
    expect(bridge.acted).toMatchObject([
      { do: 'rig', name: 'lower', template: 'twin-lower-two-knots', set: { load: '280kg', edge_height: '14m', rope_diameter: '11mm' } },
      { do: 'check' },
    ])
    expect(screen.queryByTestId(ID.rigStale)).toBeNull()
    expect(screen.getByTestId(ID.rigChecks)).toBeTruthy()
  })

  it('shows what is wrong with a value beside its field, with the remedy', async () => {
    await shown(BEFORE_THE_RIG_S)
    await press('1')
    await type(ID.param('v_angle'), '175deg')
    await previewed()
    expect(screen.getByTestId(ID.paramTrouble('v_angle')).textContent).toContain('from 5deg to 170deg')
    expect(screen.queryByTestId(ID.paramTrouble('load'))).toBeNull()
    await type(ID.param('v_angle'), '90deg')
    await previewed()
    expect(screen.queryByTestId(ID.paramTrouble('v_angle'))).toBeNull()
  })
})

describe('a rig that is being made', () => {
  it('is there as it was typed after another screen was looked at, and gone once put away', async () => {
    await shown(BEFORE_THE_RIG_S)
    await press('1')
    await type(ID.rigName, 'north lower')
    await type(ID.param('load'), '280')
    cleanup()
    render(RigUnderTest)
    await settle()
    await settle()
    expect((screen.getByTestId(ID.rigName) as HTMLInputElement).value).toBe('north lower')
    expect((screen.getByTestId(ID.param('load')) as HTMLInputElement).value).toBe('280')
    await fireEvent.click(screen.getByTestId(`${ID.rigForm}-away`))
    cleanup()
    render(RigUnderTest)
    await settle()
    await settle()
    expect(screen.queryByTestId(ID.rigName)).toBeNull()
  })
})

describe('the rig in use', () => {
  it('walks along the load path and loses a part, then puts it back', async () => {
    await shown()
    expect(screen.getByTestId(ID.rigPart).dataset['part']).toBe('anchor_west')
    await press('ArrowDown')
    expect(screen.getByTestId(ID.rigPart).dataset['part']).toBe('anchor_east')
    await pick('rope_one')
    await press('x')
    const banner = screen.getByTestId(ID.rigBanner)
    expect(banner.dataset['verdict']).toBe('held_if_acts')
    await press('Backspace')
    expect(screen.queryByTestId(ID.rigBanner)).toBeNull()
  })

  it('puts a what-if back before anyone signs', async () => {
    await shown()
    await pick('rope_one')
    await press('x')
    expect(screen.getByTestId(ID.rigBanner).dataset['verdict']).toBe('held_if_acts')
    await press('s')
    expect(screen.getByTestId(ID.formSign)).toBeTruthy()
    expect(screen.queryByTestId(ID.rigBanner)).toBeNull()
  })

  it('shows margins after a loss beside what they were', async () => {
    await shown()
    await pick('rope_one')
    await press('x')
    await painted()
    expect(screen.getByTestId(ID.rigBanner).textContent).toContain('held only if rope two operator releases')
    const text = document.querySelector('.after')?.textContent?.replace(/\s+/g, ' ') ?? ''
    expect(text).toMatch(/rope two, 11 mm \d\.\d : 1 was 1\d\.\d : 1/)
    expect(text).toMatch(/connector 1 no load was 1\d\.\d : 1/)
    expect(text).toContain('not checked')
  })

  it('puts departures first, worst first, and folds what holds', async () => {
    await shown()
    const standings = screen.getAllByTestId(ID.rigFinding).map((row) => row.dataset['standing'])
    const order = ['dropped', 'overloaded', 'falls_short', 'not_checked', 'held_if_acts', 'moves', 'holds']
    const ranks = standings.map((s) => order.indexOf(s ?? ''))
    expect(ranks).toEqual([...ranks].sort((a, b) => a - b))
    const before = standings.length
    await fireEvent.click(screen.getByTestId(ID.rigHoldsMore))
    expect(screen.getAllByTestId(ID.rigFinding).length).toBeGreaterThan(before)
  })

  it('shows how a number was got, and its source', async () => {
    await shown()
    await press('h')
    const how = screen.getByTestId(ID.rigHow).textContent ?? ''
    expect(how).toContain('9.80665')
    expect(how).toContain('source')
    await press('h')
    expect(screen.queryByTestId(ID.rigHow)).toBeNull()
  })

  it('lets the one who holds the role sign the check', async () => {
    const bridge = await shown()
    await press('s')
    await submit(ID.formSign)
    expect(bridge.acted).toEqual([{ do: 'sign', role: 'safety officer', person: 'Ruben Castell' }])
    expect(screen.getAllByTestId(ID.rigSignature).map((s) => s.dataset['stale'])).toEqual(['false', 'false'])
  })

  it('makes checks and signatures stale when the rig is entered again without a check', async () => {
    const bridge = await shown()
    const set = bridge.view().rig?.set ?? {}
    await operation.record({ do: 'rig', name: 'lower', template: 'twin-lower-two-knots', set: { ...set, load: '300kg' } })
    await settle()
    expect(screen.getByTestId(ID.rigStale).textContent).toContain('not checked')
    expect(screen.getByTestId(ID.rigSignature).dataset['stale']).toBe('true')
    await press('s')
    expect(screen.queryByTestId(ID.formSign)).toBeNull()
    await press('c')
    expect(bridge.acted.at(-1)).toEqual({ do: 'check' })
    expect(screen.queryByTestId(ID.rigStale)).toBeNull()
  })

  it('opens the form with the present values to edit', async () => {
    await shown()
    await operation.record({ do: 'rig', name: 'lower', template: 'twin-lower-two-knots', set: { load: '300kg' } })
    await press('v')
    await settle()
    expect((screen.getByTestId(ID.param('load')) as HTMLInputElement).value).toBe('300kg')
    expect((screen.getByTestId(ID.rigName) as HTMLInputElement).readOnly).toBe(true)
  })

  it('accepts what falls short only by a named person with a reason', async () => {
    const bridge = await shown()
    const row = screen.getAllByTestId(ID.rigFinding).find((r) => r.dataset['standing'] === 'falls_short') as HTMLElement
    await fireEvent.click(row.querySelector('button') as Element)
    await fireEvent.click(screen.getByText('accept, by name'))
    await settle()
    await type(ID.acceptPerson, 'ruben')
    await submit(ID.formAccept)
    expect(bridge.acted).toEqual([])
    await type(ID.acceptReason, 'short test, nobody below')
    await submit(ID.formAccept)
    const said = { do: 'accept', person: 'Ruben Castell', reason: 'short test, nobody below' }
    // Two knots that read the same are one row, and two checks.
    expect(bridge.acted).toMatchObject([
      { ...said, check: 'focal_knot_1' },
      { ...said, check: 'focal_knot_2' },
    ])
    expect(screen.getByTestId(ID.rigChecks).textContent).toContain('falls short')
  })

  it('records the state the team goes on', async () => {
    const bridge = await shown()
    await fireEvent.click(screen.getByTestId(ID.rigState('tied_off')))
    await settle()
    expect(bridge.acted).toEqual([{ do: 'use', rig: 'lower', state: 'tied_off' }])
  })

  it('offers the two ways in which a hand is lost', async () => {
    const bridge = await shown()
    const asked: unknown[] = []
    const invoke = bridge.invoke.bind(bridge)
    bridge.invoke = (command, args) => {
      if (command === 'rig_drawing') asked.push(args?.['lost'])
      return invoke(command, args)
    }
    await pick('tailer')
    expect(screen.getByTestId(ID.rigLose).textContent).toContain('hand off')
    await press('x')
    await press('f')
    expect(asked).toEqual(['tailer:hand_off', 'tailer:freezes_on'])
  })

  it('shows the first figures of a fall at once, and all of them when they are there', async () => {
    const bridge = await shown()
    const finding = { words: 'drops 1 m', runs: 100, motion: [], fall_m: { p10: 1, p50: 1, p90: 1 } }
    const picture = { list: { width: 96, height: 20, items: [] }, load: null, rope_from: 0, scale: 0 }
    const withFall = (first: boolean): unknown => ({
      ...drawn('rope_one'),
      fall: { finding: { ...finding, runs: first ? 100 : 1000 }, picture, ranks: null, first },
    })
    const waiting: (() => void)[] = []
    const invoke = bridge.invoke.bind(bridge)
    bridge.invoke = (command, args) => {
      if (command !== 'rig_drawing' || args?.['lost'] !== 'rope_one') return invoke(command, args)
      if (args['first'] === true) return Promise.resolve(withFall(true) as never)
      return new Promise((answer) => waiting.push(() => answer(withFall(false) as never)))
    }
    await pick('rope_one')
    await press('x')
    expect(screen.getByTestId(ID.rigFall).textContent).toContain('First figures, from 100 runs')
    // The drawing and all runs come once that is painted.
    expect(waiting).toHaveLength(0)
    await painted()
    waiting.shift()?.()
    await settle()
    expect(screen.getByTestId(ID.rigFall).textContent).not.toContain('First figures')
    // What comes after the part was put back changes nothing any more.
    await press('Backspace')
    await press('x')
    await painted()
    await press('Backspace')
    waiting.shift()?.()
    await settle()
    expect(screen.queryByTestId(ID.rigFall)).toBeNull()
    // Put back before it was painted: nothing more is asked for.
    const frames: FrameRequestCallback[] = []
    vi.stubGlobal('requestAnimationFrame', (frame: FrameRequestCallback) => frames.push(frame))
    await press('x')
    expect(frames).toHaveLength(1)
    await press('Backspace')
    while (frames.length > 0) frames.shift()?.(0)
    vi.unstubAllGlobals()
    await settle()
    expect(waiting).toHaveLength(0)
    expect(screen.queryByTestId(ID.rigFall)).toBeNull()
  })

  it('asks for the loss of a part while it is only chosen, and anew once something was entered', async () => {
    const bridge = await shown()
    const asked: unknown[] = []
    const invoke = bridge.invoke.bind(bridge)
    bridge.invoke = (command, args) => {
      if (command === 'rig_drawing' && args?.['first'] === true) asked.push(args['lost'])
      return invoke(command, args)
    }
    const rests = (): Promise<void> => new Promise((done) => setTimeout(done, 200))
    await press('ArrowDown')
    await pick('rope_one')
    await rests()
    expect(asked).toEqual(['rope_one'])
    await press('x')
    expect(screen.getByTestId(ID.rigBanner)).toBeTruthy()
    expect(asked).toEqual(['rope_one'])
    await press('Backspace')
    await rests()
    const view = bridge.view()
    operation.show({ ...view, saved: { ...view.saved, count: view.saved.count + 1 } })
    await press('x')
    expect(screen.getByTestId(ID.rigBanner)).toBeTruthy()
    expect(asked).toEqual(['rope_one', 'rope_one'])
  })

  it('never gives a figure for how far the load drops', async () => {
    await shown()
    const words = screen.getByTestId(ID.rigDrawing).textContent?.replace(/\s+/g, ' ') ?? ''
    expect(words).toMatch(/how far the load drops: ?not checked/)
  })
})

describe('a rig changed part by part', () => {
  const rating = (): HTMLInputElement => screen.getByTestId(ID.partRating) as HTMLInputElement

  async function rated(value: string): Promise<void> {
    await pick('anchor_west')
    await press('e')
    await type(ID.partRating, value)
    await submit(ID.formPart)
  }

  it('shows what is not recorded, takes it back and does it again', async () => {
    const bridge = await shown()
    await rated('30')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('1 change, not recorded')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('rated 30kN')
    await fireEvent.keyDown(document.body, { key: 'z', ctrlKey: true })
    await settle()
    expect(screen.queryByTestId(ID.rigDraft)).toBeNull()
    await fireEvent.keyDown(document.body, { key: 'y', ctrlKey: true })
    await settle()
    expect(screen.getByTestId(ID.rigDraft)).toBeTruthy()
    expect(bridge.acted).toEqual([])
    await press('e')
    expect(rating().value).toBe('30kN')
  })

  it('records the whole rig and then its check', async () => {
    const bridge = await shown()
    await rated('30kN')
    await press('r')
    await settle()
    expect(bridge.acted).toMatchObject([{ do: 'rig', name: 'lower', rig: { edited: [{ edit: 'part', id: 'anchor_west', set: { rating: '30kN' } }] } }, { do: 'check' }])
    expect(screen.queryByTestId(ID.rigDraft)).toBeNull()
  })

  it('keeps the form with the words of what is wrong', async () => {
    await shown()
    await rated('strong')
    expect(screen.getByTestId(ID.formPart).textContent).toContain('no number with a unit')
    expect(screen.queryByTestId(ID.rigDraft)).toBeNull()
  })

  it('takes a part out with Delete, loses one of what is left, and drops it all', async () => {
    const bridge = await shown()
    await pick('rope_one')
    await press('Delete')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('taken out')
    await press('s')
    await fireEvent.click(screen.getByTestId(ID.rigSign))
    expect(screen.queryByTestId(ID.formSign)).toBeNull()
    expect(screen.getByTestId(ID.rigPart).textContent).toContain('record the changes first')
    await pick('rope_two')
    await press('x')
    await press('Backspace')
    await fireEvent.click(screen.getByTestId(ID.rigDrop))
    await settle()
    expect(screen.queryByTestId(ID.rigDraft)).toBeNull()
    expect(bridge.acted).toEqual([])
  })

  it('puts a leg in between two ends that can bear it', async () => {
    await shown()
    await press('a')
    await type(ID.addLabel, 'north leg')
    const choose = async (id: string, at: number): Promise<void> => {
      const list = screen.getByTestId(id) as HTMLSelectElement
      list.selectedIndex = at
      for (const [i, option] of [...list.options].entries()) option.selected = i === at
      await fireEvent.change(list)
      await settle()
    }
    await choose(ID.addFrom, 1)
    await choose(ID.addTo, 1)
    await submit(ID.formAdd)
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('north leg put in')
  })

  it('draws and checks what is typed before it is on the list, and only the last answer counts', async () => {
    const bridge = await shown()
    const asked: unknown[] = []
    const invoke = bridge.invoke.bind(bridge)
    bridge.invoke = async (command, args) => {
      const answer = await invoke(command, args)
      if (command === 'rig_draft') {
        asked.push(args?.['edits'])
        // The first answer to what is typed comes last.
        if (JSON.stringify(args?.['edits']).includes('"3kN"')) await new Promise((done) => setTimeout(done, 400))
      }
      return answer
    }
    await pick('anchor_west')
    await press('e')
    await type(ID.partRating, '3')
    await previewed()
    await type(ID.partRating, '30')
    await previewed()
    await new Promise((done) => setTimeout(done, 450))
    expect(asked.length).toBeGreaterThanOrEqual(3)
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('30kN')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('not on the list yet')
    expect(document.activeElement).toBe(screen.getByTestId(ID.partLabel))
    await press('Backspace', screen.getByTestId(`${ID.formPart}-away`))
    expect(screen.queryByTestId(ID.rigDraft)).toBeNull()
    expect(bridge.acted).toEqual([])
  })

  it('shows the checks of the changed rig, which nobody signed, and what changed', async () => {
    await shown()
    expect(screen.queryByTestId(ID.rigDraftChecks)).toBeNull()
    await rated('30kN')
    expect(screen.getByTestId(ID.rigDraftChecks).textContent).toContain('who signed did not sign this')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('rated 30kN, was not rated')
  })

  it('gives a hand other work, or takes it away', async () => {
    await shown()
    await pick('tailer')
    await press('e')
    const other = document.querySelector('[data-choice="rope_two"]') as HTMLInputElement
    await fireEvent.click(other)
    await settle()
    await submit(ID.formHand)
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('hand works')
    await pick('tailer')
    await press('Delete')
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('2 changes')
  })

  it('is there as it was after another screen was looked at', async () => {
    await shown()
    await rated('30kN')
    cleanup()
    render(RigUnderTest)
    await settle()
    await settle()
    expect(screen.getByTestId(ID.rigDraft).textContent).toContain('1 change, not recorded')
  })
})

describe('who signs', () => {
  it('says that one who signed alone is not enough', async () => {
    const bridge = await shown()
    expect(screen.getByTestId(ID.rigUnsigned).textContent).toContain('not signed by the safety officer')
    const by = bridge.view().rig?.signatures.at(-1)?.person ?? ''
    await operation.record({ do: 'sign', role: 'safety officer', person: by })
    await settle()
    expect(screen.getByTestId(ID.rigUnsigned).textContent).toContain(`both by ${by}`)
    await operation.record({ do: 'sign', role: 'safety officer', person: 'Ruben Castell' })
    await settle()
    expect(screen.queryByTestId(ID.rigUnsigned)).toBeNull()
  })
})

describe('working figures', () => {
  it('answers as it is typed, with the convention of its angle, and is kept', async () => {
    const bridge = await shown()
    await press('w')
    expect(document.activeElement).toBe(screen.getByTestId(ID.figuresSum))
    expect(screen.getByTestId(ID.figuresAnswer).textContent).toContain('needs load')
    await type(ID.figure('load'), '2kN')
    await type(ID.figure('angle'), '90deg')
    await previewed()
    const answer = screen.getByTestId(ID.figuresAnswer).textContent ?? ''
    expect(answer).toContain('1.414 kN')
    expect(answer).toContain('45.00°')
    expect(answer).toContain('included')
    await type(ID.figure('angle'), '90')
    await previewed()
    expect(screen.getByTestId(ID.figures).textContent).toContain('not a number with a unit')
    expect(screen.getByTestId(ID.figure('angle')).getAttribute('aria-invalid')).toBe('true')
    await press('Backspace', screen.getByTestId(ID.figuresAway))
    expect(screen.queryByTestId(ID.figures)).toBeNull()
    await press('w')
    expect((screen.getByTestId(ID.figure('load')) as HTMLInputElement).value).toBe('2kN')
    expect(bridge.acted).toEqual([])
  })
})
