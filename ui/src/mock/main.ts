// The screens in a plain browser, over an invented operation: `mock.html?mock`. Never shipped:
// the shipped pages do not know this file, and inside the program's window it does nothing.
import { MockBridge } from './bridge'
import { watching } from './team'
import { unruly } from './unruly'

const asked = new URLSearchParams(location.search)

if (asked.has('mock') && !('__TAURI_INTERNALS__' in window)) {
  const until = asked.get('until')
  const bridge = new MockBridge({ open: !asked.has('start'), ...(until ? { untilS: Number(until) } : {}) })
  if (asked.has('trouble')) {
    bridge.failing = {
      code: 'disk',
      what: 'the disk is full',
      where: 'Kestrel Wall.ledge',
      remedy: 'free some space; the entry is kept here and tried again',
    }
  }
  if (asked.has('refuse')) {
    bridge.failing = { code: 'bad_step', what: 'no role answers to “e”', where: 'from', remedy: 'name who said it' }
  }
  if (asked.has('reading')) bridge.holder = asked.get('reading') ?? ''
  const mirror = asked.get('mirror')
  if (mirror) {
    const path = '/run/media/scribe/STICK/Kestrel Wall.jsonl'
    bridge.mirror = { path, standing: mirror, count: mirror === 'kept' ? 71 : 66, why: mirror === 'kept' ? '' : 'it is not there' }
  }
  if (asked.has('clock')) {
    bridge.restartMs = bridge.now() - 60_000
    bridge.clockNotes = ['the clock was set back by 1 h before entry 61']
  }
  bridge.watching = watching(asked.getAll('watch'), bridge.now())
  if (asked.has('second')) {
    void bridge.invoke('act', { step: { do: 'rig', name: 'raise', template: 'raise-3-to-1-and-belay', set: {} }, key: 'second' })
  }
  if (asked.has('nobody')) {
    for (const person of ['Aksel Thorne', 'Patient 1']) {
      void bridge.invoke('act', { step: { do: 'zone', person, zone: 'clear' }, key: `off ${person}` })
    }
  }
  if (asked.has('phase')) void bridge.invoke('act', { step: { do: 'order', from: 'control', to: ['all'], text: 'change over to raise' }, key: 'phase' })
  const rope = asked.get('rope')
  if (rope === 'short' || rope === 'unsaid') bridge.rope = rope
  if (asked.has('unruly')) unruly(bridge)
  if (asked.has('silent')) bridge.scribeSilentMs = 42_000
  if (asked.has('flags')) {
    bridge.movementFlags = [
      { id: 'unequal_tension', words: 'slack or unequal tension was called and not yet “equal”', at_ms: bridge.now() - 65_000, stands: true },
      { id: 'moved_unsigned', words: 'the load was ordered to move on a rig that nobody signed', at_ms: bridge.now() - 126_000, stands: false },
    ]
  }
  const look = asked.get('look')
  if (look) localStorage.setItem('ledgebook-look', look)
  Object.assign(window, {
    __TAURI_INTERNALS__: { invoke: (command: string, args: Record<string, unknown>) => bridge.invoke(command, args) },
    mockBridge: bridge,
  })
}

if (asked.has('commander')) await import('../commander/main')
else await import('../main')
