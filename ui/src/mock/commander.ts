// What the commander's window is told of the invented operation.
import type { Told } from '../wire/Told'
import type { MockBridge } from './bridge'

export function mockTold(bridge: MockBridge): Told {
  const scribe = { unsaved: bridge.told[0], scribe_silent_ms: bridge.scribeSilentMs }
  if (!bridge.open) return { operation: null, ...scribe }
  const view = bridge.view()
  const check = view.rig?.check ? (view.rig.stale ? 'stale' : view.rig.check.verdict === 'not_checked' ? 'not_checked_whole' : view.rig.check.verdict) : 'not_checked'
  return {
    operation: {
      name: view.operation.name,
      purpose: view.operation.purpose,
      closed_ms: view.operation.closed_ms,
      now_ms: view.now_ms,
      clock: view.clock,
      motion: view.motion,
      slots: view.slots,
      par: view.par,
      par_count: bridge.record.par ? Number.parseInt(bridge.record.par.words, 10) : null,
      people: view.people,
      roles: view.roles.filter((role) => role.needed),
      rig: view.rig && { name: view.rig.name, check, signed: view.rig.signatures.some((one) => !one.stale) },
      flags: bridge.movementFlags,
      watches: view.watches,
      writes: view.saved.writes,
      trouble: view.saved.trouble,
    },
    ...scribe,
  }
}
