// Stable names of what window tests drive and read, as `data-testid`.
//
// Everywhere   stop · strip-motion · strip-motion-time · strip-across-restart · strip-phase · strip-on-rope · strip-open · strip-par
//              strip-saved (data-state, data-count) · clock · rail-size-up … rail-review
//              reading-bar · take-over · to-doctor · doctor (rows with data-id, data-standing) · doctor-again
//              mirror (data-standing) · mirror-place · mirror-path · mirror-keep · mirror-off · strip-mirror (data-standing)
//              look · keys · keymap · to-commander (aria-pressed: its window is open)
// Commander    commander · commander-motion (data-motion) · commander-time · commander-clock · commander-behind
//              commander-look · commander-on_rope, -edge, -drop, -clear, -open, -out, -par, -roles (data-tone)
// Start        start-name · start-place · start-purpose-drill · start-purpose-rescue · start-edge
//              start-create · start-file · start-open · start-found · start-trouble · caution
// Calls        free-line (the input) · will (records on press) · candidate-0 … · dock-note
//              line · row (with data-seq, data-kind, data-state) · slot (with data-code, data-state)
//              part (data-total) · part-key · part-form · part-flagged · part-kind-KIND · part-who (data-person) · part-done · part-whole
//              change-over (data-to, data-owed) · change-over-line (data-id, data-standing) · change-over-done · change-over-turn
//              knot-pass · phase-done
//              order-F2 … order-F11 · to-both, to-one, to-two, to-all · by-0 … by-3 · also-0 …
//              tab-control · tab-others · who-CODE · say-0 … · repeat · correct · live-metres · rope-left · roll-call · rig-in-use
// every screen leaving (with entries not saved) · leaving-again · leaving-stay · leaving-go
//              rig-took (a rig came into use as it was made) · rig-stay · rig-back
//              ask-erase · erase-person · erase-reason · erase-record · erase-away
// Size-up      fact-objective … fact-channel (inputs) · fact-…-now · hazard · hazard-control
//              hazard-list · patient-mark-… · patient-text · vitals · vitals-text · vitals-record
//
// Screens of Team, Rig and Review keep their own list in their folder.

export const ID = {
  stop: 'stop',
  motion: 'strip-motion',
  motionTime: 'strip-motion-time',
  acrossRestart: 'strip-across-restart',
  phase: 'strip-phase',
  onRope: 'strip-on-rope',
  rigInUse: 'rig-in-use',
  leaving: 'leaving',
  leavingAgain: 'leaving-again',
  leavingStay: 'leaving-stay',
  leavingGo: 'leaving-go',
  rigTook: 'rig-took',
  watches: 'watches',
  watchWhy: 'watch-why',
  rigStay: 'rig-stay',
  rigBack: 'rig-back',
  open: 'strip-open',
  par: 'strip-par',
  saved: 'strip-saved',
  clock: 'clock',
  erase: 'erase',
  askErase: 'ask-erase',
  erasePerson: 'erase-person',
  eraseReason: 'erase-reason',
  reading: 'reading-bar',
  takeOver: 'take-over',
  rail: (screen: string): string => `rail-${screen}`,
  look: 'look',
  keys: 'keys',
  commander: 'to-commander',
  toDoctor: 'to-doctor',
  doctor: 'doctor',
  doctorAgain: 'doctor-again',
  mirror: 'mirror',
  mirrorPlace: 'mirror-place',
  mirrorPath: 'mirror-path',
  mirrorKeep: 'mirror-keep',
  mirrorOff: 'mirror-off',
  stripMirror: 'strip-mirror',
  keyMap: 'keymap',
  caution: 'caution',

  startName: 'start-name',
  startPlace: 'start-place',
  startPurpose: (purpose: string): string => `start-purpose-${purpose}`,
  startEdge: 'start-edge',
  startCreate: 'start-create',
  startFile: 'start-file',
  startOpen: 'start-open',
  startFound: 'start-found',
  startTrouble: 'start-trouble',

  freeLine: 'free-line',
  will: 'will',
  candidate: (n: number): string => `candidate-${n}`,
  dockNote: 'dock-note',
  line: 'line',
  row: 'row',
  part: 'part',
  partKey: 'part-key',
  partForm: 'part-form',
  partDone: 'part-done',
  partFlagged: 'part-flagged',
  partWho: 'part-who',
  partWhole: 'part-whole',
  changeOver: 'change-over',
  changeOverLine: 'change-over-line',
  changeOverDone: 'change-over-done',
  changeOverTurn: 'change-over-turn',
  knotPass: 'knot-pass',
  phaseDone: 'phase-done',
  partKind: (kind: string): string => `part-kind-${kind}`,
  slot: 'slot',
  order: (key: string): string => `order-${key}`,
  to: (who: string): string => `to-${who}`,
  by: (n: number): string => `by-${n}`,
  also: (n: number): string => `also-${n}`,
  tabControl: 'tab-control',
  tabOthers: 'tab-others',
  who: (code: string): string => `who-${code}`,
  say: (n: number): string => `say-${n}`,
  repeat: 'repeat',
  correct: 'correct',
  liveMetres: 'live-metres',
  ropeLeft: 'rope-left',
  rollCall: 'roll-call',

  fact: (name: string): string => `fact-${name}`,
  factNow: (name: string): string => `fact-${name}-now`,
  hazard: 'hazard',
  hazardControl: 'hazard-control',
  hazardList: 'hazard-list',
  patientMark: (mark: string): string => `patient-mark-${mark}`,
  patientText: 'patient-text',
  vitals: 'vitals',
  vitalsText: 'vitals-text',
  vitalsRecord: 'vitals-record',
} as const
