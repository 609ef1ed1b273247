import type { Candidate } from '../wire/Candidate'
import type { Recorder } from './recorder'
import { ROLES } from './story'

const WORDS: Record<string, string> = {
  rdy: 'ready',
  stp: 'stopped',
  set: 'set',
  eq: 'equal',
  sl: 'slack',
  to: 'tied off',
  sa: 'say again',
  ec: 'edge clear',
  rs: 'raise slow',
  ls: 'lower slow',
}

/** What the codes of the free line stand for, as far as the invented operation needs it. */
export function complete(line: string, record: Recorder): Candidate[] {
  const head = /^\d{1,2}:\d{2}/.exec(line.trim())?.[0] ?? ''
  const doubt = head && !(Number(head.split(':')[0]) < 24 && Number(head.split(':')[1]) < 60) ? `“${head}” is no time of day: recorded as said, with the time it is entered` : ''
  return meant(line, record).map((guess) => ({ ...guess, doubt }))
}

type Guess = Omit<Candidate, 'doubt'>

function meant(line: string, record: Recorder): Guess[] {
  const typed = line.trim()
  if (!typed) return inStop(record)
  const [code = '', ...rest] = typed.split(/\s+/)
  const role = ROLES.find((known) => known.code === code.toLowerCase())
  const words = rest.map((word) => WORDS[word] ?? word).join(' ')
  const found: Guess[] = []
  if (role) found.push(...said(role.role, role.short, words, record))
  if (code === 'm' && /^\d/.test(rest[0] ?? '')) {
    const metres = Number(rest[0])
    const step = { do: 'report', from: 'litter attendant', text: `${metres} metres`, metres }
    found.push({ who: 'litter attendant:', text: step.text, step })
  }
  const shout = WORDS[code]
  if (shout && rest.length === 0) found.push({ who: 'everyone:', text: shout, step: { do: 'report', from: 'all', text: shout } })
  found.push({ who: 'note:', text: typed, step: { do: 'note', from: 'scribe', text: typed } })
  return found
}

function said(role: string, short: string, words: string, record: Recorder): Guess[] {
  const slot = record.slots().find((one) => one.role === role)
  if (!words) {
    if (slot?.state === 'stop') return [report(role, short, 'stopped')]
    if (!slot) return [report(role, short, 'ready')]
    const step = { do: 'readback', from: role, of: slot.order, text: slot.text }
    return [{ who: `${short} reads back:`, text: slot.text, step }]
  }
  const found = [report(role, short, words)]
  if (slot && slot.state !== 'stop') {
    const step = { do: 'readback', from: role, of: slot.order, text: words }
    found.unshift({ who: `${short} reads back:`, text: words, step })
  }
  return found
}

const report = (role: string, short: string, text: string): Guess => ({
  who: `${short} to control:`,
  text,
  step: { do: 'report', from: role, text },
})

function inStop(record: Recorder): Guess[] {
  const stop = record.rows.findLast((row) => row.side === 'across')
  if (!stop || record.motion.motion !== 'stopping') return []
  const found = record.slots().filter((slot) => slot.state === 'stop')
  return [
    ...found.map((slot) => report(slot.role, slot.short, 'stopped')),
    {
      who: 'edge attendant:',
      text: 'called it',
      step: { do: 'correct', of: stop.id, from: 'edge attendant' },
    },
  ]
}
