import { operation } from '../../state/operation.svelte'
import type { Step } from '../../steps'
import type { Acked } from '../../wire/Acked'
import type { Trouble } from '../../wire/Trouble'

/** What became of a form: on the disk, kept to be written again, or malformed and back in its fields. */
export type Recorded = { saved: Acked } | { kept: Trouble } | { refused: Trouble }

/**
 * Records what a form says. A malformed step comes back to the form with the words of what is wrong;
 * one that only the disk did not take stays with the operation, which writes it again.
 */
export async function record(step: Step): Promise<Recorded> {
  const outcome = await operation.record(step)
  if ('saved' in outcome) return outcome
  const entry = operation.pending.find((one) => one.step === step)
  if (entry?.state !== 'refused') return { kept: outcome.trouble }
  operation.takeBack(entry.key)
  return { refused: outcome.trouble }
}
