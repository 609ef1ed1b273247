import { afterEach, vi } from 'vitest'
import { cleanup } from '@testing-library/svelte'

// There is no layout here: the line has the size it has in a window of 1280 × 800.
const size = (name: 'clientWidth' | 'clientHeight', line: number, other: number): void => {
  Object.defineProperty(HTMLElement.prototype, name, {
    configurable: true,
    get(this: HTMLElement) {
      return this.classList.contains('line') ? line : other
    },
  })
}
size('clientWidth', 880, 848)
size('clientHeight', 588, 76)

afterEach(() => {
  cleanup()
  vi.useRealTimers()
})
