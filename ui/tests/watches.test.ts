// Clocks on people: counted down, told when over, and never in the way of a STOP.
import { beforeEach, describe, expect, it } from 'vitest'
import { watching } from '../src/mock/team'
import { operation } from '../src/state/operation.svelte'
import { place } from '../src/state/place.svelte'
import { ID } from '../src/testids'
import { settle } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(afresh)

async function with_(...kinds: string[]): Promise<void> {
  const bridge = await shown()
  bridge.watching = watching(kinds, bridge.now())
  await operation.poll()
  await settle()
}

describe('clocks on people', () => {
  it('count a silence down to the agreed act', async () => {
    await shown()
    const bar = at(ID.watches)
    expect(bar.dataset['id']).toBe('lost_communications')
    expect(bar.dataset['over']).toBe('false')
    expect(bar.textContent).toMatch(/Nothing heard from edge attendant 0:3\d; in 0:2\d then: stop/)
  })

  it.each(['size-up', 'team', 'rig', 'calls', 'review'] as const)('tell the worst first on %s', async (where) => {
    await with_('on_rope_long', 'motionless_in_harness', 'not_heard')
    place.go(where)
    await settle()
    const bar = at(ID.watches)
    expect(bar.dataset['id']).toBe('motionless_in_harness')
    expect(bar.dataset['over']).toBe('true')
    expect(bar.textContent).toMatch(/Also: Gil Ferro not heard of 1[01]:\d\d; Aksel Thorne on rope 1:0/)
  })

  it('say where the guidance comes from and that sources differ, when asked', async () => {
    await with_('motionless_in_harness')
    expect(at(ID.watches).textContent).not.toContain('RR708')
    at(ID.watchWhy).click()
    await settle()
    expect(at(ID.watches).textContent).toContain('RR708')
    expect(at(ID.watches).textContent).toContain('the two conflict')
  })

  it('leave STOP what it is', async () => {
    await with_('motionless_in_harness')
    at(ID.watchWhy).focus()
    await key('Escape')
    await settle()
    expect(at(ID.motion).dataset['motion']).toBe('stopping')
    expect(document.activeElement).toBe(at(ID.freeLine))
  })
})
