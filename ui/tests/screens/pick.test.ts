import { fireEvent, render, screen } from '@testing-library/svelte'
import { describe, expect, it } from 'vitest'
import Pick from '../../src/screens/parts/Pick.svelte'

const OPTIONS = ['control', 'rope one', 'rope two', 'tailer', 'edge', 'litter'].map((label) => ({ value: label, label }))

function shown(): HTMLElement {
  const match = (typed: string) => OPTIONS.filter((one) => one.label.startsWith(typed))
  render(Pick, { id: 'who', label: 'Who', typed: '', chosen: '', match, most: 4, testid: 'who' })
  return screen.getByTestId('who')
}
const options = (): (string | null)[] => screen.queryAllByRole('option').map((one) => one.textContent)
const lifted = (): Promise<void> => new Promise((done) => setTimeout(done, 80))

describe('one of a list, by touch', () => {
  it('shows the rest at a touch on their count', async () => {
    await fireEvent.focusIn(shown())
    expect(options()).toHaveLength(4)
    await fireEvent.pointerDown(screen.getByTestId('who-more'))
    expect(options()).toHaveLength(6)
    expect(screen.queryByTestId('who-more')).toBeNull()
  })

  it('keeps its place while a finger is down on something else, and closes when it is lifted', async () => {
    const field = shown()
    await fireEvent.focusIn(field)
    await fireEvent.pointerDown(document.body)
    await fireEvent.focusOut(field)
    expect(options()).toHaveLength(4)
    await fireEvent.pointerUp(document.body)
    await lifted()
    expect(options()).toHaveLength(0)
  })

  it('stays open when the finger goes back to it, and closes at once by keyboard', async () => {
    const field = shown()
    await fireEvent.focusIn(field)
    await fireEvent.pointerDown(document.body)
    await fireEvent.focusOut(field)
    await fireEvent.focusIn(field)
    await fireEvent.pointerUp(document.body)
    await lifted()
    expect(options()).toHaveLength(4)
    await fireEvent.focusOut(field)
    expect(options()).toHaveLength(0)
  })
})
