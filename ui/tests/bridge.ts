import { MockBridge } from '../src/mock/bridge'

/** Puts an invented operation behind the screens; answers it, to look at what was acted. */
export function withBridge(options: ConstructorParameters<typeof MockBridge>[0] = {}): MockBridge {
  const bridge = new MockBridge(options)
  Object.assign(globalThis.window, {
    __TAURI_INTERNALS__: { invoke: (command: string, args: Record<string, unknown>) => bridge.invoke(command, args) },
  })
  return bridge
}

/** Lets answers arrive. */
export const settle = (): Promise<void> => new Promise((done) => setTimeout(done, 5))
