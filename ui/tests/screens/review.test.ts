import { cleanup, fireEvent, render, screen } from '@testing-library/svelte'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { MockBridge } from '../../src/mock/bridge'
import { headWords, openMatters } from '../../src/screens/review/closing'
import { ID } from '../../src/screens/testids'
import { operation } from '../../src/state/operation.svelte'
import { settle, withBridge } from '../bridge'
import ReviewUnderTest from './ReviewUnderTest.svelte'

let bridge: MockBridge

beforeEach(async () => {
  bridge = withBridge()
  operation.show(bridge.view())
  render(ReviewUnderTest)
  await settle()
})
afterEach(() => operation.leave())

const press = async (key: string): Promise<void> => {
  await fireEvent.keyDown(document.activeElement ?? document.body, { key })
  await settle()
}
const findings = (): HTMLElement[] => screen.getAllByTestId(ID.reviewFinding)

describe('Review', () => {
  it('shows departures first and the record’s head and count', () => {
    const departs = findings().map((f) => f.dataset['departs'])
    expect(departs.slice(0, 4)).toEqual(['true', 'true', 'true', 'true'])
    expect(departs.at(-1)).toBe('false')
    const record = screen.getByTestId(ID.reviewRecord)
    expect(record.dataset['head']).toBe(bridge.view().saved.head)
    expect(record.textContent).toContain(`${bridge.view().saved.count} entries`)
  })

  it('walks the findings and shows the entries a finding rests on', async () => {
    await press('ArrowDown')
    await press('ArrowDown')
    const second = findings()[1]
    expect(second?.contains(document.activeElement)).toBe(true)
    await fireEvent.click(document.activeElement as Element)
    await settle()
    expect(screen.getByTestId(ID.reviewEntries).textContent).toContain('edge clear?')
  })

  it('takes a lesson with who sees to it and by when, and shows it', async () => {
    await press('l')
    const type = async (id: string, value: string): Promise<void> => {
      await fireEvent.input(screen.getByTestId(id), { target: { value } })
      await settle()
    }
    const submit = (): HTMLElement => screen.getByTestId(ID.formLesson).querySelector<HTMLElement>('button[type=submit]') as HTMLElement
    expect(submit().getAttribute('aria-disabled')).toBe('true')
    await type(ID.lessonText, 'a spare roller on each edge')
    await type(ID.lessonPerson, 'Somebody New')
    await type(ID.lessonWho, 'whoever keeps the ropes')
    await type(ID.lessonWhen, 'the next drill')
    await fireEvent.click(submit())
    await settle()
    expect(bridge.acted.at(-1)).toEqual({
      do: 'lesson',
      what: 'change',
      person: 'Somebody New',
      text: 'a spare roller on each edge',
      who: 'whoever keeps the ropes',
      by_when: 'the next drill',
    })
    const shown = screen.getByTestId(ID.reviewLessons).textContent?.replace(/\s+/g, ' ') ?? ''
    expect(shown).toContain('Change: a spare roller on each edge')
    expect(shown).toContain('whoever keeps the ropes, by the next drill; said by Somebody New')
  })

  it('writes the report in the units that are chosen', async () => {
    const button = (): string => screen.getByTestId(ID.reviewUnits).textContent ?? ''
    await fireEvent.click(screen.getByTestId(ID.reviewReport))
    await settle()
    expect(bridge.reportIn).toBe('si')
    expect(button()).toContain('in m, kN, kg')
    await press('u')
    expect(button()).toContain('in ft, lbf, lb')
    await fireEvent.click(screen.getByTestId(ID.reviewReport))
    await settle()
    expect(bridge.reportIn).toBe('us')
    await press('u')
    expect(button()).toContain('in m, kN, kg')
  })

  it('tells its own figures in the units that are chosen, the replay’s too', async () => {
    const all = (): string => screen.getAllByTestId(ID.reviewTable).map((t) => t.textContent).join(' ')
    expect(all()).toContain('6.2 m/min down')
    await press('u')
    expect(all()).toContain('20 ft/min down')
    expect(all()).not.toContain('m/min')
    await fireEvent.input(screen.getByTestId(ID.replayTrack), { target: { value: String(bridge.view().operation.opened_ms + 1_700_000) } })
    await settle()
    const moment = screen.getByTestId(ID.replayMoment)
    expect(moment.textContent).toContain('36 ft out, called')
    expect(moment.textContent).toContain('137 ft left')
    expect(moment.querySelector('svg')?.getAttribute('aria-label')).toContain('36 ft out as called')
    await press('u')
    expect(screen.getByTestId(ID.replayMoment).textContent).toContain('11 m out, called')
  })

  it('keeps what is half written while another screen is looked at, until it is put away', async () => {
    const text = (id: string): string => (screen.getByTestId(id) as HTMLInputElement).value
    for (const [key, words, form] of [['l', ID.lessonText, ID.formLesson], ['n', ID.findingText, ID.formFinding]] as const) {
      await press(key)
      await fireEvent.input(screen.getByTestId(words), { target: { value: 'half of it' } })
      await settle()
      cleanup()
      render(ReviewUnderTest)
      await settle()
      await press(key)
      expect(text(words)).toBe('half of it')
      await fireEvent.click(screen.getByTestId(`${form}-away`))
      await settle()
      await press(key)
      expect(text(words)).toBe('')
      await fireEvent.click(screen.getByTestId(`${form}-away`))
      await settle()
    }
  })

  it('names a role’s worst delay, or that it never read back', () => {
    const words = screen.getAllByTestId(ID.reviewReadback).map((row) => row.textContent?.replace(/\s+/g, ' ').trim())
    expect(words).toContain('rope two 9 s')
    expect(words).toContain('edge attendant never')
  })

  it('is agreed with by name, set aside with a reason, and keeps both', async () => {
    await press('ArrowDown')
    await fireEvent.click(document.activeElement as Element)
    await settle()
    const words = findings()[0]?.textContent
    await fireEvent.click(screen.getByTestId(ID.reviewSetAside))
    await settle()
    await fireEvent.input(screen.getByTestId(ID.findingPerson), { target: { value: bridge.view().people[0]?.person } })
    expect(screen.getByTestId(`${ID.formFinding}-record`).getAttribute('aria-disabled')).toBe('true')
    await fireEvent.input(screen.getByTestId(ID.findingText), { target: { value: 'said by hand' } })
    await fireEvent.submit(screen.getByTestId(ID.formFinding))
    await settle()
    expect(bridge.acted).toEqual([{ do: 'set_aside', of: 'wrong:0', person: bridge.view().people[0]?.person, reason: 'said by hand' }])
    expect(findings()).toHaveLength(5)
    expect(findings()[0]?.dataset['aside']).toBe('true')
    expect(words).toContain('raise slow')
    expect(screen.getByTestId(ID.reviewSaid).textContent).toContain('said by hand')
  })

  it('runs again from flag to flag, and shows what stood there', async () => {
    expect(screen.queryByTestId(ID.replayMoment)).toBeNull()
    await press('f')
    expect(screen.getByTestId(ID.replayMoment).textContent).toContain('with no tailer')
    expect(screen.getByTestId(ID.replayAt).textContent).toContain('13:25:41')
    await fireEvent.click(screen.getByTestId(ID.replayAway))
    await settle()
    expect(screen.queryByTestId(ID.replayMoment)).toBeNull()
    expect(bridge.acted).toEqual([])
  })

  it('shows how each measure was got', () => {
    expect(screen.getAllByTestId(ID.reviewTable)[0]?.textContent).toContain('How: metres between two calls')
  })

  it('closes in two steps and leaves by a third', async () => {
    await press('c')
    expect(bridge.acted).toEqual([])
    const confirm = screen.getByTestId(ID.reviewCloseConfirm)
    expect(document.activeElement).toBe(confirm)
    await fireEvent.click(confirm)
    await settle()
    expect(bridge.acted).toEqual([{ do: 'close' }])
    await press('o')
    await settle()
    expect(screen.getByText('no operation is open')).toBeTruthy()
  })

  it('leaves it open with Backspace', async () => {
    await press('c')
    await press('Backspace')
    expect(screen.queryByTestId(ID.reviewCloseConfirm)).toBeNull()
    expect(bridge.acted).toEqual([])
  })

  it('does not close while the key that asked is still held', async () => {
    await press('c')
    const held = new KeyboardEvent('keydown', { key: 'Enter', repeat: true, bubbles: true, cancelable: true })
    screen.getByTestId(ID.reviewCloseConfirm).dispatchEvent(held)
    expect(held.defaultPrevented).toBe(true)
  })
})

describe('what is still open at closing', () => {
  it('names people on rope, in zones, unanswered orders and who is here', () => {
    const words = openMatters(withBridge().view()).join('\n')
    expect(words).toContain('on rope: Aksel Thorne, Patient 1')
    expect(words).toContain('at the edge or below: Nina Vogel, Gil Ferro')
    expect(words).toContain('“edge clear?”')
    expect(words).toContain('not checked out: 12 people')
  })
  it('prints the first twelve digits of the head', () => {
    expect(headWords('7c1e90ab12f0ffffffff')).toBe('7c1e 90ab 12f0')
  })
})
