import { fireEvent, render, screen } from '@testing-library/svelte'
import { beforeEach, describe, expect, it, vi } from 'vitest'
import Records from '../../src/screens/records/Records.svelte'
import { hours } from '../../src/screens/records/words'
import { ID } from '../../src/screens/testids'
import { settle, withBridge } from '../bridge'

const onopen = vi.fn()
const onaway = vi.fn()

beforeEach(async () => {
  vi.clearAllMocks()
  withBridge()
  render(Records, { onopen, onaway })
  await settle()
})

describe('Records', () => {
  it('lists operations, hours, and what is to be inspected before use', () => {
    expect(screen.getByTestId(ID.recordsOperations).textContent).toContain('Kestrel Wall')
    expect(screen.getByTestId(ID.recordsOperations).textContent).toContain('the file is damaged')
    expect(screen.getByTestId(ID.recordsPeople).textContent).toContain('2.7 h')
    const rows = [...screen.getByTestId(ID.recordsGear).querySelectorAll('tbody tr')].map((row) => row.textContent ?? '')
    expect(rows[0]).toContain('inspect before use')
    expect(rows[1]).toContain('out of use')
    expect(rows[2]).toContain('nothing in the records asks for it')
  })

  it('finds words and opens the operation they were said in', async () => {
    expect(screen.queryByTestId(ID.recordsHits)).toBeNull()
    await fireEvent.input(screen.getByTestId(ID.recordsFind), { target: { value: 'roller' } })
    const form = screen.getByTestId(ID.recordsFind).closest('form')
    await fireEvent.submit(form as Element)
    await settle()
    const hits = screen.getByTestId(ID.recordsHits).querySelectorAll('button')
    expect(hits).toHaveLength(2)
    await fireEvent.click(hits[0] as Element)
    expect(onopen).toHaveBeenCalledWith('a')
  })

  it('goes away with Backspace in the empty field, not while words are cleared', async () => {
    const field = screen.getByTestId(ID.recordsFind)
    await fireEvent.input(field, { target: { value: 'x' } })
    await fireEvent.keyDown(field, { key: 'Backspace' })
    expect(onaway).not.toHaveBeenCalled()
    await fireEvent.input(field, { target: { value: '' } })
    await fireEvent.keyDown(field, { key: 'Backspace' })
    expect(onaway).toHaveBeenCalledOnce()
  })

  it('says hours in hours and minutes in minutes', () => {
    expect([hours(0), hours(59 * 60), hours(3600), hours(9840)]).toEqual(['0 min', '59 min', '1.0 h', '2.7 h'])
  })
})
