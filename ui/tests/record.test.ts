import { fireEvent, render, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it } from 'vitest'
import App from '../src/App.svelte'
import { operation } from '../src/state/operation.svelte'
import { ID } from '../src/testids'
import { settle, withBridge } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(afresh)

describe('a second program on the same file', () => {
  it('says who writes, and writes only after a press once that program is gone', async () => {
    const bridge = withBridge()
    bridge.holder = 'a Ledgebook window since 13:02'
    render(App)
    await settle()
    await settle()
    expect(at(ID.reading).textContent).toContain('a Ledgebook window since 13:02')
    expect(at(ID.saved).dataset['state']).toBe('reading')
    expect(screen.queryByTestId(ID.takeOver)).toBeNull()
    bridge.holder = ''
    await operation.poll()
    await settle()
    await fireEvent.click(at(ID.takeOver))
    await settle()
    expect(screen.queryByTestId(ID.reading)).toBeNull()
    expect(at(ID.saved).dataset['state']).toBe('saved')
  })
})

describe('erasing by law', () => {
  it('asks who and why, then once more, and leaves who erased what and why', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.correct))
    await fireEvent.click(at(ID.askErase))
    await settle()
    const record = (): HTMLElement => at(`${ID.erase}-record`)
    await fireEvent.input(at(ID.erasePerson), { target: { value: 'Odile Marn' } })
    await fireEvent.submit(at(ID.erase))
    expect(bridge.acted).toEqual([])
    await fireEvent.input(at(ID.eraseReason), { target: { value: 'asked for by the patient' } })
    await fireEvent.submit(at(ID.erase))
    await settle()
    expect(bridge.acted).toEqual([])
    expect(record().textContent).toContain('erase for good')
    // The fields are gone: Enter is the key that erases, Backspace goes back.
    expect(document.activeElement).toBe(record())
    await fireEvent.keyDown(record(), { key: 'Backspace' })
    await settle()
    expect(at(ID.erasePerson)).toHaveProperty('value', 'Odile Marn')
    await fireEvent.submit(at(ID.erase))
    await settle()
    expect(document.activeElement).toBe(record())
    await fireEvent.submit(at(ID.erase))
    await settle()
    expect(bridge.acted).toMatchObject([{ do: 'erase', person: 'Odile Marn', reason: 'asked for by the patient' }])
    expect(screen.queryByTestId(ID.erase)).toBeNull()
    expect(screen.getAllByText(/erased by law, by Odile Marn/).length).toBeGreaterThan(0)
  })

  it('can be left at either step with nothing gone', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.correct))
    await fireEvent.click(at(ID.askErase))
    await fireEvent.input(at(ID.erasePerson), { target: { value: 'A' } })
    await fireEvent.input(at(ID.eraseReason), { target: { value: 'B' } })
    await fireEvent.submit(at(ID.erase))
    await fireEvent.click(at(`${ID.erase}-away`))
    expect(at(ID.erasePerson)).toHaveProperty('value', 'A')
    await fireEvent.click(at(`${ID.erase}-away`))
    expect(screen.queryByTestId(ID.erase)).toBeNull()
    expect(bridge.acted).toEqual([])
  })
})

describe('the doctor', () => {
  it('is one key away, on the first screen too, and says each thing by shape and word', async () => {
    await shown({ open: false })
    await key('d', { ctrlKey: true })
    await settle()
    const rows = [...at(ID.doctor).querySelectorAll<HTMLElement>('[data-standing]')]
    expect(rows.map((row) => row.dataset['standing'])).toContain('not_checked')
    for (const row of rows) {
      expect(row.querySelector('svg')).not.toBeNull()
      expect(row.textContent).toContain((row.dataset['standing'] ?? '').replace('_', ' '))
    }
    await key('d', { ctrlKey: true })
    await settle()
    expect(screen.queryByTestId(ID.doctor)).toBeNull()
  })

  it('stands over an operation and takes nothing from STOP', async () => {
    const bridge = await shown()
    await fireEvent.click(at(ID.toDoctor))
    await settle()
    await key('Escape')
    await settle()
    expect(bridge.acted).toMatchObject([{ do: 'order', text: 'stop' }])
  })
})

describe('the second copy', () => {
  it('is chosen by a press, said in the strip, and a stick that is away warns and halts nothing', async () => {
    const bridge = await shown()
    await key('d', { ctrlKey: true })
    await settle()
    expect(at(ID.mirror).dataset['standing']).toBe('none')
    expect(screen.queryByTestId(ID.stripMirror)).toBeNull()
    await fireEvent.click(at(ID.mirrorPlace))
    await settle()
    expect(at(ID.stripMirror).dataset['standing']).toBe('kept')
    bridge.mirror = { path: '/run/media/scribe/STICK/a.jsonl', standing: 'behind', count: 66, why: 'it is not there' }
    await operation.poll()
    await settle()
    expect(at(ID.stripMirror).textContent).toContain('copy behind')
    expect(at(ID.mirror).textContent).toContain('it is not there')
    expect(at(ID.saved).dataset['state']).toBe('saved')
    await key('Escape')
    await settle()
    expect(bridge.acted).toHaveLength(1)
    await fireEvent.click(at(ID.mirrorOff))
    await settle()
    expect(at(ID.mirror).dataset['standing']).toBe('none')
  })
})
