// Answers the program's commands for the invented operation, in a browser and in tests.
import type { Step } from '../steps'
import type { Asked } from '../wire/Asked'
import type { DatedFlag } from '../wire/DatedFlag'
import type { Edit } from '../wire/Edit'
import type { OrderKey } from '../wire/OrderKey'
import type { PersonView } from '../wire/PersonView'
import type { Start } from '../wire/Start'
import type { Trouble } from '../wire/Trouble'
import type { View } from '../wire/View'
import { plain, headed } from '../words'
import { changeOver } from './changeOver'
import { mockTold } from './commander'
import { complete } from './complete'
import { mockSifted } from './sifted'
import { HEALTH } from './health'
import { Recorder } from './recorder'
import { MOCK_BESIDE } from './check'
import { mockDraft, mockPreview, mockRigDrawing, mockSum, MOCK_SUMS, MOCK_TEMPLATES, MockRig } from './rig'
import { mockRecords } from './records'
import { inUnits, learned, mockCompare, mockReview, outOfUse, saidTo } from './review'
import { NOW_S, OFFSET_MIN, OPENED_MS, ROLES, STORY } from './story'
import { mockRopes, type Rope } from './ropes'
import { ACT, afterStep, noted, peopleAt, silences } from './team'

const CAUTION =
  'Decision support only. Local rules, the makers’ instructions and a qualified rigger come first.'
const ORDERS: [string, string][] = [
  ['F2', 'lower'],
  ['F3', 'raise'],
  ['F4', 'slow'],
  ['F5', 'set'],
  ['F6', 'slack one'],
  ['F7', 'slack two'],
  ['F8', 'tension'],
  ['F9', 'equal'],
  ['F10', 'rock'],
  ['F11', 'abort'],
]
const LOCKED: Trouble = {
  code: 'file_locked',
  what: '',
  where: 'Kestrel Wall.ledge',
  remedy: 'close it there first; it can be read here meanwhile',
}
const ROWS_SENT = 60

type Args = Record<string, unknown>

export class MockBridge {
  readonly record = new Recorder()
  readonly rig = new MockRig()
  /** Set by tests and by `?trouble`: every act fails so. */
  failing: Trouble | null = null
  /** Set by tests and by `?reading`: who writes instead; empty when that program is gone. */
  holder: string | null = null
  /** Set by tests and by `?rope`: what is known of the ropes. */
  rope: Rope = 'long'
  /** Set by tests: the disk takes the next entry, but its answer is lost. */
  losing: Trouble | null = null
  /** Set by tests and by `?mirror`. */
  mirror: View['saved']['mirror'] = null
  /** What the window last said of its unsaved entries, and whether it was closed. */
  told: [number, boolean] = [0, false]
  left = false
  /** The units that the last report was asked for in. */
  reportIn = ''
  commanderOpen = false
  /** Set by tests and by `?flag`: flags of the movement. */
  movementFlags: DatedFlag[] = []
  /** Set by tests and by `?silent`: since when the scribe's window says nothing, ms. */
  scribeSilentMs = 200
  readonly #known = new Map<string, object>()
  /** Set by tests and by `?clock`: the program was started again, and what became of the clocks. */
  restartMs: number | null = null
  clockNotes: string[] = []
  /** Set by tests and by `?watch`: clocks on people that run beside silences. */
  watching: View['watches'] = []
  /** Steps that were acted on, in order. */
  readonly acted: Step[] = []
  open: boolean
  #people: PersonView[]
  readonly #bornAt: number
  readonly #wall: () => number

  constructor(options: { open?: boolean; untilS?: number; wall?: () => number } = {}) {
    const { open = true, untilS = NOW_S, wall = () => Date.now() } = options
    this.open = open
    this.#wall = wall
    for (const [s, step] of STORY) if (s <= untilS) this.#tell(step, OPENED_MS + s * 1000)
    this.#bornAt = wall() - untilS * 1000
    this.#people = peopleAt(untilS)
  }

  now(): number {
    return OPENED_MS + (this.#wall() - this.#bornAt)
  }

  async invoke(command: string, args: Args = {}): Promise<unknown> {
    const answer = this.#commands[command]
    if (!answer) throw new Error(`no such command: ${command}`)
    return answer(args)
  }

  readonly #commands: Record<string, (args: Args) => unknown> = {
    start: () => this.#start(),
    new_operation: () => this.#opened(),
    open_operation: () => this.#opened(),
    close_file: () => {
      this.open = false
      return this.#start()
    },
    view: () => this.view(),
    act: ({ step, key }) => this.#act(step as Step, key as string),
    take_over: () => {
      if (this.holder === '') this.holder = null
      return this.view()
    },
    complete: ({ line }) => complete(String(line), this.record),
    rows: ({ from, count }) => this.record.rows.slice(Number(from), Number(from) + Number(count)),
    sifted: ({ asked, from, count }) => mockSifted(this, asked as Asked, from === null ? null : Number(from), Number(count)),
    templates: () => MOCK_TEMPLATES,
    rig_preview: ({ template, set }) => mockPreview(String(template), (set ?? {}) as Record<string, string>),
    rig_beside: () => MOCK_BESIDE,
    reckon_check: () => null,
    rig_draft: ({ edits, lost }) => mockDraft((edits ?? []) as Edit[], lost === null ? undefined : String(lost)),
    sums: () => MOCK_SUMS,
    sum: ({ set }) => mockSum((set ?? {}) as Record<string, string>),
    rig_drawing: ({ lost }) => mockRigDrawing(lost === null ? undefined : String(lost)),
    compare: () => mockCompare(),
    records: ({ find }) => mockRecords(String(find)),
    review: ({ units }) => inUnits(mockReview(this.view(), saidTo(this.acted), outOfUse(this.acted), learned(this.acted)), String(units)),
    told: () => mockTold(this),
    commander_window: () => {
      this.commanderOpen = !this.commanderOpen
      return this.commanderOpen
    },
    unsaved: ({ count, asking }) => {
      this.told = [Number(count), Boolean(asking)]
      return null
    },
    leave: () => {
      this.left = true
      return null
    },
    doctor: () => HEALTH,
    mirror_places: () => ['/run/media/scribe/STICK/Kestrel Wall.jsonl'],
    mirror: ({ path }) => {
      this.mirror = path === null ? null : { path: String(path), standing: 'kept', count: this.record.count, why: '' }
      return this.view()
    },
    report: ({ units }) => {
      this.reportIn = String(units)
      return '/home/scribe/Ledgebook/Kestrel Wall.pdf'
    },
  }

  view(): View {
    const record = this.record
    const now = this.now()
    const slots = record.slots()
    return {
      operation: {
        name: 'Kestrel Wall',
        place: 'Kestrel Wall, north face, pitch 3',
        purpose: 'rescue',
        edge_height_m: 14,
        file: '/home/scribe/Ledgebook/Kestrel Wall.ledge',
        opened_ms: OPENED_MS,
        closed_ms: record.closedMs,
        station: 'top',
      },
      now_ms: now,
      offset_min: OFFSET_MIN,
      clock: { to_wall_ms: 0, offset_min: OFFSET_MIN, restart_ms: this.restartMs, notes: this.clockNotes },
      motion: this.#motion(),
      on_rope: this.#people
        .filter((one) => one.zone === 'on_rope')
        .map((one) => ({ person: one.person, since_ms: one.zone_ms })),
      slots,
      par: {
        due_ms: record.par ? record.par.at + 20 * 60_000 : null,
        last_ms: record.par?.at ?? null,
        last_words: record.par?.words ?? null,
        expected: this.#people.filter((one) => one.out_ms === null).length,
      },
      saved: { count: record.count, head: '7c1e90ab5d', trouble: null, mirror: this.mirror, ...this.#writing() },
      people: noted(this.#people, slots, record.motion.motion, now),
      roles: ROLES.map((known) => {
        const holder = this.#people.find((one) => one.roles.includes(known.role))
        return { ...known, person: holder?.person ?? null, since_ms: holder?.in_ms ?? null }
      }),
      rows: record.rows.slice(-ROWS_SENT).map((row) => ({ ...row, marks: [...row.marks] })),
      total_rows: record.rows.length,
      spans: record.spans.map((span) => ({ ...span })),
      orders: this.#orders(),
      also: this.#also(),
      rig: this.rig.view,
      rigs: [...this.rig.names],
      flags: [],
      watches: [...this.watching, ...silences(slots)],
      size_up: { ...record.sizeUp },
      brief: {
        whistle: [['1', 'stop'], ['2', 'up'], ['3', 'down'], ['4', 'off rope'], ['continuous', 'help']],
        lost_communications: record.sizeUp['lost communications']?.text ?? ACT,
        lost_communications_s: 60,
        real_emergency: 'stop, stop, stop: no exercise',
        par_min: 20,
      },
      hazards: [...record.hazards],
      patient: [...record.patient],
      vitals: [...record.vitals],
      roll_call: record.rollCall(),
      change_over: record.closedMs === null ? changeOver(record.rows, record.motion.motion) : [],
    }
  }

  #motion(): View['motion'] {
    const { motion, slow, from_ms } = this.record.motion
    const silent = this.record.silent()
    const metres = this.record.metres
    const called = metres ? `${metres.out} m out of 14` : ''
    // The motion began with its order, whatever its speed became.
    const since = this.record.spans.findLast((span, i, all) => span.motion === motion && all[i - 1]?.motion !== motion)
    return {
      motion,
      words: headed(plain(motion)).replace('Under load', 'Load'),
      since_ms: since?.from_ms ?? from_ms,
      slow,
      detail: silent.length > 0 ? `silent: ${silent.join(', ')}` : called,
      silent,
      metres_out: metres?.out ?? null,
      metres_ms: metres?.at ?? null,
      ropes: metres ? mockRopes(metres.out, motion, this.rope) : null,
      nobody_on_rope: ['lowering', 'raising'].includes(motion) && !this.#people.some((one) => one.zone === 'on_rope'),
      phase: this.record.phase,
    }
  }

  #orders(): OrderKey[] {
    const idle: Record<string, string[]> = {
      lowering: ['F2', 'F3'],
      raising: ['F2', 'F3'],
      stopping: ['F2', 'F3', 'F4', 'F10'],
      stopped: ['F4'],
    }
    const dull = idle[this.record.motion.motion] ?? ['F4', 'F10']
    return ORDERS.map(([key, text]) => ({ key, text, now: !dull.includes(key) }))
  }

  #also(): View['also'] {
    if (this.record.motion.motion === 'stopping') {
      return [
        { label: 'stopped, one', line: '1', who: 'rope one' },
        { label: 'stopped, two', line: '2', who: 'rope two' },
        { label: 'roll call', line: 'rc', who: 'control' },
        { label: 'tied off', line: 'to', who: 'rope one' },
      ]
    }
    return [
      { label: 'metres', line: 'm ', who: 'litter' },
      { label: 'edge clear', line: 'e ec', who: 'edge' },
      { label: 'radio check', line: 'rc', who: 'control' },
      { label: 'PAR', line: 'p ', who: 'control' },
    ]
  }

  #act(step: Step, key: string): unknown {
    if (this.failing) throw this.failing
    if (this.holder !== null) throw { ...LOCKED, what: `another program is writing into this file: ${this.holder}` }
    const known = this.#known.get(key)
    if (known) return { ...known, view: this.view() }
    this.acted.push(step)
    const { row, went } = this.#tell(step, this.now())
    this.#people = afterStep(this.#people, step, row.at_ms)
    const answer = { seq: row.seq, id: row.id, hash: '00', went }
    this.#known.set(key, answer)
    if (this.losing) throw this.losing
    return { ...answer, view: this.view() }
  }

  #writing(): Pick<View['saved'], 'writes' | 'holder' | 'may_take_over'> {
    return { writes: this.holder === null, holder: this.holder || null, may_take_over: this.holder === '' }
  }

  #tell(step: Step, at: number): ReturnType<Recorder['record']> {
    const recorded = this.record.record(step, at)
    this.rig.apply(step, recorded.row.seq, recorded.row.time)
    return recorded
  }

  #opened(): View {
    if (this.failing) throw this.failing
    this.open = true
    return this.view()
  }

  #start(): Start {
    return {
      version: '0.1.0',
      folder: '/home/scribe/Ledgebook',
      found: [
        { file: '/home/scribe/Ledgebook/Kestrel Wall.ledge', name: 'Kestrel Wall', when: '14 May 2026, 13:02', closed: false },
        { file: '/home/scribe/Ledgebook/Quarry drill.ledge', name: 'Quarry drill', when: '2 May 2026, 09:15', closed: true },
      ],
      open: this.open,
      trouble: null,
      caution: CAUTION,
    }
  }
}
