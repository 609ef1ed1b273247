// What the tests of the whole window share.
import { fireEvent, render, screen } from '@testing-library/svelte'
import { vi } from 'vitest'
import App from '../src/App.svelte'
import { freeLine } from '../src/state/line.svelte'
import { operation } from '../src/state/operation.svelte'
import { place } from '../src/state/place.svelte'
import { ID } from '../src/testids'
import { settle, withBridge } from './bridge'

export const at = (id: string): HTMLElement => screen.getByTestId(id)
export const key = (name: string, more: KeyboardEventInit = {}): Promise<boolean> =>
  fireEvent.keyDown(document.activeElement ?? document.body, { key: name, ...more })

export async function shown(options: Parameters<typeof withBridge>[0] = {}) {
  const bridge = withBridge(options)
  render(App)
  await settle()
  await settle()
  return bridge
}

export async function typed(words: string): Promise<void> {
  const input = at(ID.freeLine)
  await fireEvent.input(input, { target: { value: words } })
  await settle()
}

/** Far enough from the test before that no key of this one is a bounce of it. */
let time = 1e6

/** The window as it is when the program starts. */
export function afresh(): void {
  time += 1e6
  vi.restoreAllMocks()
  vi.spyOn(performance, 'now').mockImplementation(() => time)
  operation.leave()
  freeLine.clear()
  place.go('calls')
  localStorage.clear()
}

/** Lets the clock of the page go on, ms. */
export function later(ms: number): void {
  time += ms
}
