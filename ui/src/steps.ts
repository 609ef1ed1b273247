// Steps as the program takes them: the one way in. Nothing is judged here.

interface Common {
  /** Channel, voice, whistle, hand. */
  by?: string
  /** When it happened, if not now: local time with offset. */
  happened?: string
}

export type Step = Common &
  (
    | { do: 'close' }
    | { do: 'check_in'; person: string; qualifications?: string[]; agency?: string }
    | { do: 'check_out'; person: string }
    | { do: 'assign' | 'relieve'; role: string; person: string }
    | { do: 'zone'; person: string; zone: 'on_rope' | 'edge' | 'drop' | 'clear'; tied_in?: boolean; partner?: string }
    | { do: 'rig'; name: string; template: string; set: Record<string, string> }
    | { do: 'rig'; name: string; rig: unknown }
    | { do: 'use'; rig: string; state?: string }
    | { do: 'check'; rig?: string }
    | { do: 'sign'; role: string; person: string }
    | { do: 'accept'; check: string; person: string; reason: string }
    | { do: 'order'; from: string; to: string[]; text: string; cause?: string }
    | { do: 'readback' | 'answer'; from: string; of: string; text: string }
    | { do: 'report' | 'note'; from: string; text: string; metres?: number }
    | { do: 'signal'; from: string; count?: number; text?: string }
    | ({ do: 'correct'; of: string } & Record<string, unknown>)
    | { do: 'erase'; of: string; person: string; reason: string }
    | { do: 'par'; count: number; of: number; missing?: string[] }
    | { do: 'patient'; mark: string; text?: string; vitals?: string }
    | { do: 'benchmark'; name: string }
    | { do: 'hazard'; text: string; control?: string }
    | { do: 'exercise'; lose: string; text: string }
    | { do: 'finding'; person: string; text: string; good?: boolean; entries?: number[] }
    | { do: 'agree'; of: string; person: string; text?: string }
    | { do: 'set_aside'; of: string; person: string; reason: string }
    | { do: 'quarantine' | 'return_to_service'; gear: string; person: string; reason: string }
    | { do: 'seal'; person: string; reason: string }
    | { do: 'lesson'; what: 'keep' | 'change'; person: string; text: string; who?: string; by_when?: string }
  )

export const CONTROL = 'control'
export const SCRIBE = 'scribe'

/** STOP as it is recorded on the key: at once, by the scribe's station; who called it is a correction of `from`. */
export const stop = (by?: string): Step => ({ do: 'order', from: SCRIBE, to: ['all'], text: 'stop', ...channel(by) })

export const order = (to: string[], text: string, by?: string): Step => ({
  do: 'order',
  from: CONTROL,
  to,
  text,
  ...channel(by),
})

export const readback = (from: string, of: string, text: string, by?: string): Step => ({
  do: 'readback',
  from,
  of,
  text,
  ...channel(by),
})

export const report = (from: string, text: string, by?: string): Step => ({ do: 'report', from, text, ...channel(by) })

export const note = (text: string): Step => ({ do: 'note', from: SCRIBE, text })

export const correct = (of: string, fields: Record<string, unknown>): Step => ({ do: 'correct', of, ...fields })

const channel = (by: string | undefined): { by?: string } => (by ? { by } : {})

/** What a step says, for a row that is shown before the disk has it. */
export function wordsOf(step: Step): { who: string; text: string } {
  const said = step as { from?: string; to?: string[]; text?: string; name?: string; mark?: string; person?: string; vitals?: string }
  const who = step.do === 'order' ? (said.to ?? []).join(', ') : (said.from ?? said.person ?? '')
  const text = said.text ?? said.vitals ?? said.mark ?? said.name ?? step.do.replace('_', ' ')
  return { who, text }
}

/** On which side of the rope a step will hang. */
export function sideOf(step: Step): 'left' | 'right' | 'across' {
  if (step.do !== 'order') return 'right'
  if (/^stop\b/i.test(step.text) && step.to.includes('all')) return 'across'
  return step.from === CONTROL ? 'left' : 'right'
}
