// The report: written beside the operation file, from any screen.
import * as api from '../api'
import type { Trouble } from '../wire/Trouble'

class Report {
  state = $state<'none' | 'writing' | 'written' | 'failed'>('none')
  /** Path of the last report. */
  file = $state('')
  trouble = $state.raw<Trouble | null>(null)
  /** Units of its figures and of the review's: what is read on the screen is what will be on paper. */
  units = $state<api.Units>('si')
}

export const reportState = new Report()

export async function writeReport(): Promise<void> {
  if (reportState.state === 'writing') return
  reportState.state = 'writing'
  try {
    reportState.file = await api.report(reportState.units)
    reportState.state = 'written'
    reportState.trouble = null
  } catch (error) {
    reportState.trouble = api.asTrouble(error, 'report')
    reportState.state = 'failed'
  }
}

/** Figures in the other units. */
export function otherUnits(): void {
  reportState.units = reportState.units === 'si' ? 'us' : 'si'
}
