// The list of templates by keyboard: every one is reached by words and a number, by arrows, by groups.
import { fireEvent, render, screen } from '@testing-library/svelte'
import { describe, expect, it, vi } from 'vitest'
import { MOCK_TEMPLATES } from '../../src/mock/rig'
import TemplateList from '../../src/screens/rig/TemplateList.svelte'
import { found, grouped } from '../../src/screens/rig/templates'
import { ID } from '../../src/screens/testids'

const names = (typed: string): string[] => found(MOCK_TEMPLATES, typed).map((t) => t.name)

function shown() {
  const onchoose = vi.fn()
  const onaway = vi.fn()
  render(TemplateList, { templates: MOCK_TEMPLATES, first: false, onshow: vi.fn(), onchoose, onaway })
  const press = async (...keys: string[]): Promise<void> => {
    for (const key of keys) {
      await fireEvent.keyDown(document.activeElement ?? document.body, { key })
      await new Promise((done) => setTimeout(done))
    }
  }
  const chosen = (): string | undefined => onchoose.mock.lastCall?.[0].name
  return { onchoose, onaway, press, chosen }
}

describe('which templates what was typed means', () => {
  it('knows every template of the program', () => {
    expect(MOCK_TEMPLATES.length).toBeGreaterThanOrEqual(26)
    expect(names('')).toHaveLength(MOCK_TEMPLATES.length)
  })

  it.each([
    ['raise 9', 'raise-9-to-1'],
    ['RAISE compound 6', 'raise-6-to-1'],
    ['knot pass', 'knot-pass'],
    ['tether', 'twin-lower-rescuer-tether'],
    ['slope', 'low-angle-lower'],
    ['backup', 'twin-lower-plate-backup'],
  ])('%s', (typed, name) => expect(names(typed)).toContain(name))

  it('looks into what it is for only where no title fits', () => {
    expect(names('frame')).toEqual(['twin-lower-high-directional'])
    expect(names('zebra')).toEqual([])
  })

  it('leaves none out of the groups and puts none in twice', () => {
    const all = grouped(MOCK_TEMPLATES).flatMap((g) => g.templates.map((t) => t.name))
    expect([...all].sort()).toEqual(MOCK_TEMPLATES.map((t) => t.name).sort())
    expect(grouped(MOCK_TEMPLATES).map((g) => g.title)).not.toContain('Others')
    const unknown = { name: 'kite', title: 'Kite', about: '', parameters: [] }
    expect(grouped([unknown]).map((g) => g.title)).toEqual(['Others'])
  })
})

describe('the list by keyboard', () => {
  it('brings every template within some letters and one number', async () => {
    const { press, chosen } = shown()
    const reached = new Set<string>()
    for (const word of ['anchors', 'ropes', 'plate', 'edge', 'raise', 'step', 'main']) {
      await press(...word)
      const rows = grouped(found(MOCK_TEMPLATES, word)).flatMap((g) => g.templates)
      for (const [i, template] of rows.slice(0, 9).entries()) {
        await press(String(i + 1))
        expect(chosen()).toBe(template.name)
        reached.add(template.name)
      }
      await press(...Array<string>(word.length).fill('Backspace'))
    }
    expect([...reached].sort()).toEqual(MOCK_TEMPLATES.map((t) => t.name).sort())
    expect(screen.getByTestId(ID.templatesFound).textContent).toContain(`${MOCK_TEMPLATES.length} templates`)
  })

  it('takes letters back one by one, and goes away only when none is left', async () => {
    const { press, onaway } = shown()
    await press('p', 'l', 'q')
    expect(screen.getByTestId(ID.templatesFound).textContent).toContain('0 of')
    await press('Backspace')
    expect(document.activeElement?.getAttribute('data-testid')).toBe(ID.template(grouped(found(MOCK_TEMPLATES, 'pl'))[0]?.templates[0]?.name ?? ''))
    await press('Backspace', 'Backspace')
    expect(onaway).not.toHaveBeenCalled()
    await press('Backspace')
    expect(onaway).toHaveBeenCalledOnce()
  })

  it('walks to every template by arrows, by groups, and to both ends', async () => {
    const { press } = shown()
    const order = grouped(MOCK_TEMPLATES).map((g) => g.templates.map((t) => ID.template(t.name)))
    const at = (): string | null | undefined => document.activeElement?.getAttribute('data-testid')
    for (const name of order.flat()) {
      expect(at()).toBe(name)
      await press('ArrowDown')
    }
    await press('Home')
    for (const group of order) {
      expect(at()).toBe(group[0])
      await press('PageDown')
    }
    await press('End')
    expect(at()).toBe(order.flat().at(-1))
    await press('PageUp')
    expect(at()).toBe(order.at(-1)?.[0])
  })
})
