// The change-over's list of the invented operation: as the program would send it, roughly.
import type { ChangeOverLine } from '../wire/ChangeOverLine'
import type { ChangeOverView } from '../wire/ChangeOverView'
import type { DoesView } from '../wire/DoesView'
import type { LineRow } from '../wire/LineRow'

const says = (role: string, short: string, text: string): DoesView => ({ label: `${short}: ${text}`, step: { do: 'report', from: role, text } })
const orders = (to: string[], text: string): DoesView => ({ label: `control: ${text}`, step: { do: 'order', from: 'control', to, text } })

/** What was said since the load was last ordered to move. */
export function changeOver(rows: LineRow[], motion: string): ChangeOverView[] {
  const moved = rows.findLastIndex((row) => ['lowering', 'raising'].includes(row.motion ?? ''))
  const since = rows.slice(moved + 1)
  const moves = ['lowering', 'raising'].includes(motion)
  const found = (kind: string, text: RegExp): LineRow | undefined => since.find((row) => row.kind === kind && text.test(row.text))
  const line = (id: string, words: string, row: LineRow | undefined, does: DoesView[], told = ''): ChangeOverLine => ({
    id,
    words,
    standing: row ? 'done' : 'owed',
    found: row ? `${row.time}, entry ${row.seq}` : told,
    does: row ? [] : does,
  })
  const list = (to: string): ChangeOverView => {
    const tied = since.filter((row) => row.kind === 'report' && /tied off/.test(row.text))
    const rope = (short: string, role: string): ChangeOverLine => {
      const own = line('tied_off', `${short} tied off`, tied.find((row) => row.who === short), [says(role, short, 'tied off')])
      return own.standing === 'owed' && tied.length > 0 ? { ...own, standing: 'free', found: 'not reported; the other one is' } : own
    }
    const stands = moves || motion === 'stopping' ? undefined : rows.at(-1)
    return {
      to,
      lines: [
        line('stopped', 'stopped', stands, moves ? [orders(['all'], 'stop')] : [says('rope two operator', 'rope two', 'stopped')], motion),
        line('ordered', `control ordered: change over to ${to}`, found('order', /^change over/), [orders(['all'], `change over to ${to}`)]),
        rope('rope one', 'rope one operator'),
        rope('rope two', 'rope two operator'),
        line('operators', 'whoever works it now has said so', undefined, [{ label: 'Team', step: null }], 'haul team vacant'),
        line('state', `the rig in use is one that ${to}s`, undefined, [{ label: 'use: both tied off', step: { do: 'use', rig: 'lower', state: 'tied_off' } }], 'lower, lowering: 13:10:05, entry 31'),
        line('converted', 'reported changed over', found('report', /^changed over/), [says('rigging lead', 'rigging lead', 'changed over')]),
        line('load_test', 'load test since then', found('order', /^load test/), [orders(['all'], 'load test')]),
        line('roll_call', 'roll call since then', found('order', /^roll call/), [orders(['all'], 'roll call')]),
        line('move', `control’s order to ${to}`, undefined, [orders(['rope one operator', 'rope two operator'], to)]),
      ],
    }
  }
  return [list('raise'), list('lower')]
}
