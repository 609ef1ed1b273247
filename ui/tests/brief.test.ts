// The brief as one page: what was agreed, what was not, and what the guidelines add.
import { beforeEach, expect, it } from 'vitest'
import { place } from '../src/state/place.svelte'
import { operation } from '../src/state/operation.svelte'
import { ID } from '../src/screens/testids'
import { settle } from './bridge'
import { afresh, at, key, shown } from './window'

beforeEach(afresh)

it('is one key away on Size-up, says what is not agreed, and takes what is', async () => {
  const bridge = await shown()
  place.go('size-up')
  await settle()
  ;(document.activeElement as HTMLElement | null)?.blur()
  await key('b')
  await settle()
  const text = (): string => at(ID.brief).textContent ?? ''
  expect(text()).toMatch(/Abort\s*not agreed/)
  expect(text()).toMatch(/Tailer\s*vacant/)
  expect(text()).toContain('1 blast: stop; 2 blasts: up; 3 blasts: down; 4 blasts: off rope; continuous: help')
  expect(text()).toContain('from the guidelines; not agreed here')
  await operation.record({ do: 'note', from: 'scribe', text: 'lost communications: tie off and send a runner' })
  await operation.record({ do: 'note', from: 'scribe', text: 'abort: lightning within 10 km: up and out' })
  await settle()
  expect(text()).toContain('after 60 s of silence: tie off and send a runner')
  expect(text()).toMatch(/Abort\s*lightning within 10 km: up and out/)
  expect(text()).not.toContain('not agreed here')
  await key('r')
  await settle()
  expect(bridge.acted.at(-1)).toMatchObject({ do: 'report', from: 'control', text: 'brief read out' })
  expect(document.body.textContent).toContain('recorded: read out by control')
  await key('b')
  await settle()
  expect(document.querySelector(`[data-testid="${ID.brief}"]`)).toBeNull()
})
