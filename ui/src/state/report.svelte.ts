// The report: written beside the operation file, from any screen.
import * as api from '../api'
import type { Trouble } from '../wire/Trouble'

class Report {
  state = $state<'none' | 'writing' | 'written' | 'failed'>('none')
  /** Path of the last report. */
  file = $state('')
  trouble = $state.raw<Trouble | null>(null)
}

export const reportState = new Report()

export async function writeReport(): Promise<void> {
  if (reportState.state === 'writing') return
  reportState.state = 'writing'
  try {
    reportState.file = await api.report()
    reportState.state = 'written'
    reportState.trouble = null
  } catch (error) {
    reportState.trouble = api.asTrouble(error, 'report')
    reportState.state = 'failed'
  }
}
