import type { View } from '../../wire/View'

export interface KeyGroup {
  title: string
  /** Short words: two keys a line. */
  dense?: boolean
  /** The keys, and what they do. */
  keys: [string[], string][]
}

/** The key map of this operation: orders and codes are the guidelines'. */
export function keyGroups(view: View): KeyGroup[] {
  return [
    {
      title: 'Everywhere',
      keys: [
        [['Esc'], 'STOP, always. It never cancels or closes anything'],
        [['F1'], 'this page'],
        [['Ctrl B'], 'big view: the commander’s window, open and shut'],
        [['Ctrl Shift B'], 'next look of the big view'],
        [['Ctrl D'], 'doctor: whether this machine and this file will do'],
        [['F12'], 'the last call again'],
        [['Ctrl 1–5'], 'Size-up, Team, Rig, Calls, Review'],
        [['Ctrl 0'], 'next look: day, night, sun'],
        [['Ctrl P'], 'report'],
        [['Ctrl O'], 'change over: its list, on Calls'],
        [['Tab'], 'next control; the ring of ink is where the keys go'],
      ],
    },
    { title: 'Orders of control, on every screen', dense: true, keys: view.orders.map((order) => [[order.key], order.text]) },
    {
      title: 'Free line',
      keys: [
        [['Enter'], 'records what stands at its right'],
        [['↓', '↑'], 'other candidates'],
        [['2'], 'rope two reads back as ordered'],
        [['2 rs'], 'rope two: raise slow'],
        [['w2'], 'whistle, two blasts; w* one without end: help'],
        [['14:02 …', '-2m …'], 'a late entry: it hangs where it happened'],
        [['Bksp'], 'on the empty line: corrects the last entry'],
        [['↑'], 'on the empty line: walks the entries; Enter corrects one'],
      ],
    },
    {
      title: 'Who, in the free line',
      dense: true,
      keys: [...view.roles.map((role): [string[], string] => [[role.code], role.short]), [['*'], 'all, anyone']],
    },
    {
      title: 'Along the line',
      keys: [
        [['PgUp', 'PgDn'], 'back and forth'],
        [['Home', 'End'], 'the first entries; now'],
        [['Ctrl F'], 'a part of it: by person, kind, flag; again: the whole line'],
      ],
    },
    {
      title: 'Size-up',
      keys: [
        [['b'], 'the brief, to read out'],
        [['r'], 'on the brief: it was read out'],
      ],
    },
    {
      title: 'Team',
      keys: [
        [['i', 'o'], 'check in, check out'],
        [['a', 'h'], 'role, hand over'],
        [['p'], 'PAR'],
        [['c', 'e', 'r', 'd'], 'move: clear, edge zone, on rope, drop zone'],
      ],
    },
    {
      title: 'Rig',
      keys: [
        [['↑', '↓'], 'along the load path'],
        [['x', 'Bksp'], 'lost, put back'],
        [['m', 'o'], 'after a loss: what moves the drop; other systems'],
        [['k'], 'call what is lost into the drill, in words only'],
        [['h'], 'how a number was got'],
        [['e', 'a', 'Del'], 'edit what is chosen, put in, take out'],
        [['n', 'v'], 'new rig; its values, or load and edge'],
        [['w'], 'working figures'],
        [['Ctrl Z', 'Ctrl Y', 'r'], 'undo, redo, record the changes'],
        [['c', 's'], 'check, sign'],
      ],
    },
    {
      title: 'Review',
      keys: [
        [['↑', '↓'], 'findings'],
        [['Enter'], 'the entries of a finding'],
        [['a', 'x', 'n'], 'agree, set aside, add'],
        [['q', 'k'], 'gear out of use, sealed copy'],
        [['u'], 'units of the figures, here and in the report'],
        [['l'], 'add a lesson'],
        [['Space', '+', '−'], 'replay, its speed'],
        [[',', '.', 'f'], 'entry before, after; next flag'],
        [['c'], 'close the operation, in two steps'],
        [['o'], 'after closing: other operations'],
      ],
    },
  ]
}
