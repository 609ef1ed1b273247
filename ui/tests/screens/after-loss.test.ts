import { fireEvent, render, screen } from '@testing-library/svelte'
import { describe, expect, it } from 'vitest'
import Fall from '../../src/screens/rig/Fall.svelte'
import WholeForm from '../../src/screens/rig/WholeForm.svelte'
import { ID } from '../../src/screens/testids'
import { mockDraft } from '../../src/mock/rig'
import type { BesideView } from '../../src/wire/BesideView'
import type { DisplayList } from '../../src/wire/DisplayList'
import type { Edit } from '../../src/wire/Edit'
import type { FallView } from '../../src/wire/FallView'
import type { SystemFall } from '../../src/wire/SystemFall'
import { settle, withBridge } from '../bridge'

const list: DisplayList = { width: 96, height: 20, items: [] }

const fall = (ranks: DisplayList | null): FallView => ({
  finding: {
    of: ['rope one'],
    outcome: 'stops',
    words: 'drops 0.73 – 1.29 – 2.24 m',
    fall_m: { p10: 0.73, p50: 1.29, p90: 2.24 },
    peak_force_kN: null,
    stop_s: null,
    never_stops: 0,
    clearance_m: 7,
    below: 'ground',
    reaches: 0,
    free_length_m: 13,
    survivors: [],
    parameters: [],
    heights: [],
    reaches_between_m: [],
    motion: [],
    swing: '',
    runs: 1000,
    seed: 1,
  },
  picture: { list, load: null, rope_from: 0, scale: 0 },
  ranks,
  first: false,
})

const system = (id: string, label: string): SystemFall => ({
  id,
  label,
  note: '',
  fall_m: { p10: 1, p50: 2, p90: 3 },
  peak_force_kN: { p10: 1, p50: 2, p90: 3 },
  never_stops: 0,
  reaches: 0,
  parameters: [],
})

const BESIDE: BesideView = {
  systems: [system('belay', 'one loaded rope, a belay'), system('twin', 'two loaded ropes')],
  picture: list,
  ranks: [list, list],
  words: 'a comparison, no forecast',
}

/** Answers what is asked for beside the rig. */
function answering(answer: () => Promise<BesideView>): { asked: number } {
  const seen = { asked: 0 }
  const bridge = withBridge()
  const invoke = bridge.invoke.bind(bridge)
  bridge.invoke = (command, args) => {
    if (command !== 'rig_beside') return invoke(command, args)
    seen.asked += 1
    return answer()
  }
  return seen
}

const key = async (key: string): Promise<void> => {
  await fireEvent.keyDown(document.body, { key })
  await settle()
}

describe('after a loss', () => {
  it('shows what moves the drop most on a key, and puts it away on the same', async () => {
    render(Fall, { fall: fall(list), of: null })
    expect(screen.queryByTestId(ID.rigRanks)).toBeNull()
    await key('m')
    expect(screen.getByTestId(ID.rigRanks)).toBeTruthy()
    await key('m')
    expect(screen.queryByTestId(ID.rigRanks)).toBeNull()
  })

  it('asks for other systems when they are wanted, and shows for the chosen one what moves it', async () => {
    const seen = answering(() => Promise.resolve(BESIDE))
    render(Fall, { fall: fall(list), of: 'a rig' })
    await settle()
    expect(seen.asked).toBe(0)
    await key('o')
    expect(seen.asked).toBe(1)
    const section = screen.getByTestId(ID.rigBeside)
    expect(section.textContent).toContain('a comparison, no forecast')
    expect(section.querySelectorAll('svg').length).toBe(1)
    expect(section.querySelector('svg')?.getAttribute('aria-label')).toContain('two loaded ropes, half of the runs 2.00 m')
    await fireEvent.click(screen.getByText('two loaded ropes'))
    expect(section.querySelectorAll('svg').length).toBe(2)
  })

  it('says what went wrong, and offers nothing to set beside while the rig is being changed', async () => {
    answering(() => Promise.reject({ code: 'fault', what: 'a fault', where: 'x', remedy: 'ask again' }))
    const { unmount } = render(Fall, { fall: fall(null), of: 'a rig' })
    await key('o')
    expect(screen.getByTestId(ID.rigBeside).textContent).toContain('a fault')
    unmount()
    render(Fall, { fall: fall(null), of: null })
    await key('o')
    expect(screen.queryByTestId(ID.rigBeside)).toBeNull()
    expect(screen.queryByTestId(ID.rigFallBeside)).toBeNull()
    expect(screen.queryByTestId(ID.rigFallRanks)).toBeNull()
  })
})

describe('what lies below the load', () => {
  it('is typed as heights behind each other and recorded as ledges and water', async () => {
    const made: Edit[][] = []
    render(WholeForm, {
      draft: { ...mockDraft([]), below: [{ kind: 'ledge', height: '4m' }] },
      trouble: null,
      ontry: () => {},
      onedit: (edits: Edit[]) => made.push(edits),
      onaway: () => {},
    })
    const ledges = screen.getByTestId(ID.wholeLedges) as HTMLInputElement
    expect(ledges.value).toBe('4m')
    await fireEvent.input(ledges, { target: { value: '4m, 9' } })
    await fireEvent.input(screen.getByTestId(ID.wholeWater), { target: { value: '0' } })
    await fireEvent.submit(screen.getByTestId(ID.formWhole))
    expect(made).toEqual([
      [
        {
          edit: 'below',
          below: [
            { kind: 'ledge', height: '4m' },
            { kind: 'ledge', height: '9m' },
            { kind: 'water', height: '0m' },
          ],
        },
      ],
    ])
  })
})
