// A small recorder for the invented operation: enough of the record's behaviour to try the screens
// against. It judges nothing that matters; the program does.
import type { Step } from '../steps'
import type { FactView } from '../wire/FactView'
import type { LineRow } from '../wire/LineRow'
import type { MotionSpan } from '../wire/MotionSpan'
import type { PhaseView } from '../wire/PhaseView'
import type { RollCallView } from '../wire/RollCallView'
import type { Slot } from '../wire/Slot'
import type { VitalsView } from '../wire/VitalsView'
import { clockTime } from '../words'
import { OFFSET_MIN, OPENED_MS, ROLES } from './story'

interface Open {
  row: LineRow
  text: string
  waiting: Map<string, { state: 'waiting' | 'wrong' | 'stop'; said: string | null; since: number }>
}

const OPERATORS = ['rope one operator', 'rope two operator']
const FACTS = ['objective', 'patient', 'weather', 'light', 'access', 'channel', 'plan', 'abort', 'signals', 'lost communications']

const shortOf = (role: string): string => ROLES.find((known) => known.role === role)?.short ?? role
const codeOf = (role: string): string => ROLES.find((known) => known.role === role)?.code ?? role

export class Recorder {
  rows: LineRow[] = []
  spans: MotionSpan[] = [{ motion: 'at_rest', slow: false, from_ms: OPENED_MS, to_ms: null }]
  metres: { out: number; at: number } | null = null
  par: { at: number; words: string } | null = null
  sizeUp: Record<string, FactView> = {}
  hazards: FactView[] = []
  patient: string[] = []
  vitals: VitalsView[] = []
  closedMs: number | null = null
  phase: PhaseView | null = null
  #open: Open[] = []
  #stepOf = new Map<string, Step>()

  get count(): number {
    return this.rows.length + 26
  }

  get motion(): MotionSpan {
    const last = this.spans.at(-1)
    if (!last) throw new Error('there is always a motion')
    return last
  }

  record(step: Step, nowMs: number): { row: LineRow; went: string } {
    const at = step.happened ? Date.parse(step.happened) : nowMs
    const late = nowMs - at > 60_000
    const seq = this.count + 1
    const row = this.#row(step, seq, at)
    this.#stepOf.set(row.id, step)
    if (late) {
      row.marks.push('late')
      row.detail = `late entry, written ${clockTime(nowMs, OFFSET_MIN)}`
    }
    if (step.do === 'erase') this.#erase(step, row)
    else if (step.do === 'correct') this.#correct(step, row)
    else this.#apply(step, row)
    row.rope = this.motion.motion
    row.slow = this.motion.slow
    this.#phase(step, row)
    row.phase = this.phase?.words ?? null
    const place = this.rows.findLastIndex((other) => other.at_ms <= at) + 1
    this.rows.splice(place, 0, row)
    return { row, went: late ? `hangs at ${row.time}` : '' }
  }

  slots(): Slot[] {
    return this.#open.flatMap(({ row, text, waiting }) =>
      [...waiting].map(([role, wait]) => ({
        order: row.id,
        text,
        role,
        short: shortOf(role),
        code: codeOf(role),
        since_ms: wait.since,
        limit_s: wait.state === 'stop' ? 0 : 10,
        state: wait.state,
        said: wait.said,
      })),
    )
  }

  /** The last roll call; in the story everyone answers at once. */
  rollCall(): RollCallView | null {
    const row = this.rows.findLast((one) => one.kind === 'order' && /^roll call/.test(one.text))
    return row ? { text: row.text, at_ms: row.at_ms, seq: row.seq, of: 5, silent: [] } : null
  }

  silent(): string[] {
    return this.slots()
      .filter((slot) => slot.state === 'stop')
      .map((slot) => slot.short)
  }

  #row(step: Step, seq: number, at: number): LineRow {
    const said = step as { from?: string; to?: string[]; text?: string; of?: string; person?: string; name?: string }
    const stop = step.do === 'order' && /^stop\b/.test(step.text)
    const left = step.do === 'order' && step.from === 'control'
    return {
      seq,
      id: `entry-${seq}`,
      at_ms: at,
      time: clockTime(at, OFFSET_MIN),
      side: stop ? 'across' : left ? 'left' : 'right',
      kind: step.do,
      who: stop
        ? `${shortOf(said.from ?? '')} to ${(said.to ?? []).map(shortOf).join(', ')}`
        : left
          ? (said.to ?? []).map(shortOf).join(', ')
          : shortOf(said.from ?? said.person ?? 'scribe'),
      text: wordsOfStep(step),
      was: null,
      marks: [],
      detail: '',
      of: null,
      loop_state: 'none',
      motion: null,
      rope: this.motion.motion,
      slow: this.motion.slow,
      phase: this.phase?.words ?? null,
      flags: [],
    }
  }

  /** As the program's default words have it, roughly. */
  #phase(step: Step, row: LineRow): void {
    const text = 'text' in step ? String(step.text ?? '') : ''
    const began = step.do === 'order' ? /^(knot pass|reset|change over to \w+)/.exec(text)?.[1] : undefined
    if (began) {
      const words = began.replace('change over', 'change-over')
      const phase = words.split(' to ')[0]?.replace(/[ -]/, '_') ?? ''
      const said = { knot_pass: 'knot passed', reset: 'ready to haul' }[phase] ?? 'changed over'
      const done = { label: `rigging lead: ${said}`, step: { do: 'report', from: 'rigging lead', text: said } }
      this.phase = { phase, words, since_ms: row.at_ms, seq: row.seq, done }
    } else if (this.phase && (/passed|done|changed over/.test(text) || (step.do === 'order' && /^(lower|raise)/.test(text)))) {
      row.detail = `${this.phase.words} done`
      this.phase = null
    }
  }

  #erase(step: Step & { do: 'erase' }, row: LineRow): void {
    const gone = this.rows.find((one) => one.id === step.of)
    if (!gone) return
    gone.text = `erased by law, by ${step.person}: ${step.reason} (entry ${row.seq})`
    row.text = `erased the words of entry ${gone.seq}: ${step.reason}`
  }

  #apply(step: Step, row: LineRow): void {
    if (step.do === 'order') this.#order(step, row)
    else if (step.do === 'readback' || step.do === 'answer') this.#answered(step, row)
    else if (step.do === 'report') this.#report(step, row)
    else if (step.do === 'note') this.#note(step.text, row)
    else if (step.do === 'par') this.par = { at: row.at_ms, words: `${step.count} of ${step.of}` }
    else if (step.do === 'patient' && step.vitals) this.vitals.push({ time: row.time, text: step.vitals, seq: row.seq })
    else if (step.do === 'patient') this.patient.push(`${step.mark} ${row.time}`)
    else if (step.do === 'close') this.closedMs = row.at_ms
    else if (step.do === 'hazard') {
      this.hazards.push({ text: step.text, control: step.control ?? null, time: row.time, seq: row.seq })
    }
  }

  #order(step: Step & { do: 'order' }, row: LineRow): void {
    if (row.side === 'across') {
      row.text = step.cause ?? ''
      this.#move('stopping', row)
      const wait = new Map(OPERATORS.map((role) => [role, { state: 'stop' as const, said: null, since: row.at_ms }]))
      this.#open.push({ row, text: 'stop', waiting: wait })
      row.loop_state = 'open'
      return
    }
    if (step.to.includes('all')) return
    const word = step.text
    if (/^load test/.test(word)) this.#move('under_load_test', row)
    else if (/to the edge/.test(word)) this.#move('at_the_edge', row)
    else if (/^lower/.test(word)) this.#move('lowering', row, /slow/.test(word))
    else if (/^raise/.test(word)) this.#move('raising', row, /slow/.test(word))
    else if (word === 'slow') this.#move(this.motion.motion, row, true)
    const waiting = step.to.map(
      (role) => [role, { state: 'waiting' as const, said: null, since: row.at_ms }] as const,
    )
    this.#open.push({ row, text: word, waiting: new Map(waiting) })
    row.loop_state = 'open'
  }

  #answered(step: Step & { do: 'readback' | 'answer' }, row: LineRow): void {
    const open = this.#open.findLast(
      (one) => one.waiting.has(step.from) && (step.of === 'latest' || step.of === one.row.id),
    )
    if (!open) return
    row.of = open.row.id
    if (step.do === 'readback' && step.text !== open.text) {
      row.marks.push('wrong')
      open.waiting.set(step.from, { state: 'wrong', said: step.text, since: row.at_ms })
      open.row.loop_state = 'wrong'
      return
    }
    this.#close(open, step.from)
  }

  #report(step: Step & { do: 'report' | 'note' }, row: LineRow): void {
    if (step.metres !== undefined) this.metres = { out: step.metres, at: row.at_ms }
    const stop = this.#open.find((one) => one.waiting.get(step.from)?.state === 'stop')
    if (stop && /^stopped/.test(step.text)) {
      row.of = stop.row.id
      this.#close(stop, step.from)
      if (stop.waiting.size === 0) this.#move('stopped', row)
    }
  }

  #note(text: string, row: LineRow): void {
    const [name = '', ...rest] = text.split(':')
    if (!FACTS.includes(name) || rest.length === 0) return
    this.sizeUp[name] = { text: rest.join(':').trim(), control: null, time: row.time, seq: row.seq }
  }

  #correct(step: Step & { do: 'correct' }, row: LineRow): void {
    const target = this.rows.find((other) => other.id === step.of)
    if (!target) return
    const { text, from } = step as { text?: string; from?: string }
    row.marks.push('correction')
    row.of = target.id
    row.text = `${target.time} was ${text ?? shortOf(from ?? '')}`
    target.was = text === undefined ? target.who : target.text
    target.marks.push('corrected')
    if (text !== undefined) target.text = text
    if (from !== undefined) target.who = target.side === 'across' ? `${shortOf(from)} to all` : shortOf(from)
  }

  #close(open: Open, role: string): void {
    open.waiting.delete(role)
    if (open.waiting.size > 0) return
    open.row.loop_state = 'closed'
    this.#open = this.#open.filter((one) => one !== open)
  }

  #move(motion: string, row: LineRow, slow = false): void {
    const now = this.motion
    if (now.motion === motion && now.slow === slow) return
    now.to_ms = row.at_ms
    row.motion = motion
    this.spans.push({ motion, slow, from_ms: row.at_ms, to_ms: null })
  }
}

function wordsOfStep(step: Step): string {
  if (step.do === 'par') return `PAR ${step.count} of ${step.of}`
  if (step.do === 'rig') return `rig “${step.name}” entered`
  if (step.do === 'sign') return `signed as ${step.role}`
  if (step.do === 'hazard') return step.control ? `hazard: ${step.text}; ${step.control}` : `hazard: ${step.text}`
  const said = step as { text?: string; mark?: string; name?: string }
  return said.text ?? said.mark ?? said.name ?? step.do.replace('_', ' ')
}
