// What the commander's window is told of the invented operation.
import type { Told } from '../wire/Told'
import type { MockBridge } from './bridge'

/** “11 of 12” leaves one. */
const missing = (par: { words: string } | null): number | null => {
  if (!par) return null
  const [count = 0, of = count] = par.words.split(' of ').map(Number)
  return Math.max(0, of - count)
}

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
      offset_min: view.offset_min,
      now_ms: view.now_ms,
      clock: view.clock,
      motion: view.motion,
      slots: view.slots,
      par: view.par,
      par_missing: missing(bridge.record.par),
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
