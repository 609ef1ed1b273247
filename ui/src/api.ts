// The only module that crosses to the program. One function a command; errors are `Trouble`.
import { invoke } from '@tauri-apps/api/core'
import type { Step } from './steps'
import type { Acked } from './wire/Acked'
import type { Asked } from './wire/Asked'
import type { BesideView } from './wire/BesideView'
import type { Candidate } from './wire/Candidate'
import type { CompareView } from './wire/CompareView'
import type { Edit } from './wire/Edit'
import type { Health } from './wire/Health'
import type { LineRow } from './wire/LineRow'
import type { Records } from './wire/Records'
import type { ReviewView } from './wire/ReviewView'
import type { RigDraft } from './wire/RigDraft'
import type { RigDrawing } from './wire/RigDrawing'
import type { Sifted } from './wire/Sifted'
import type { Start } from './wire/Start'
import type { SumAnswer } from './wire/SumAnswer'
import type { SumView } from './wire/SumView'
import type { TemplateView } from './wire/TemplateView'
import type { Told } from './wire/Told'
import type { Trouble } from './wire/Trouble'
import type { View } from './wire/View'

async function call<T>(command: string, args: Record<string, unknown> = {}): Promise<T> {
  try {
    return await invoke<T>(command, args)
  } catch (error) {
    throw asTrouble(error, command)
  }
}

/** What a rejected command says; anything that is not a `Trouble` becomes one, in words. */
export function asTrouble(error: unknown, attempted: string): Trouble {
  if (typeof error === 'object' && error !== null && 'what' in error && 'remedy' in error) {
    const { code = 'unknown', what, where = '', remedy } = error as Partial<Trouble>
    return { code, what: String(what), where, remedy: String(remedy) }
  }
  const what = error instanceof Error ? error.message : String(error)
  return { code: 'no_answer', what: `no answer: ${what}`, where: attempted, remedy: 'write it on paper, then try again' }
}

export interface NewOperation {
  name: string
  place: string
  purpose: 'drill' | 'rescue'
  edgeHeight: string
}

/** What the first screen needs. */
export const start = (): Promise<Start> => call('start')
export const newOperation = (asked: NewOperation): Promise<View> => call('new_operation', { ...asked })
export const openOperation = (file: string): Promise<View> => call('open_operation', { file })
export const closeFile = (): Promise<Start> => call('close_file')

export const view = (): Promise<View> => call('view')
/** The same `key` is recorded once, however often it is sent. */
export const act = (step: Step, key: string): Promise<Acked> => call('act', { step, key })
/** Writes from now on, the program that wrote being gone. */
export const takeOver = (): Promise<View> => call('take_over')
/** Candidates for what is typed, likeliest first. */
export const complete = (line: string): Promise<Candidate[]> => call('complete', { line })
/** Rows `from` (0 is the first) to `from + count`, in the order of the line. */
export const rows = (from: number, count: number): Promise<LineRow[]> => call('rows', { from, count })

/** Rows of a part of the line by their place in it; without `from` the last ones. */
export const sifted = (asked: Asked, from: number | null, count: number): Promise<Sifted> => call('sifted', { asked, from, count })

export const templates = (): Promise<TemplateView[]> => call('templates')
export const rigPreview = (template: string, set: Record<string, string>): Promise<RigDrawing> =>
  call('rig_preview', { template, set })
/** The rig in use, with something lost or not; `first`: with the first figures of the fall, which are there at once. */
export const rigDrawing = (lost?: string, first = false): Promise<RigDrawing> => call('rig_drawing', { lost: lost ?? null, first })
/** The rig in use after edits that are not recorded. */
export const rigDraft = (edits: Edit[], lost?: string): Promise<RigDraft> => call('rig_draft', { edits, lost: lost ?? null })
/** The same site and load on other systems. */
export const rigBeside = (): Promise<BesideView> => call('rig_beside')
/** Works out a check ahead of its being recorded, so that no call waits for it; `null`: of the rig in use. */
export const reckonCheck = (rig: string | null): Promise<null> => call('reckon_check', { rig })
/** What each working figure asks for. */
export const sums = (): Promise<SumView[]> => call('sums')
export const sum = (name: string, set: Record<string, string>): Promise<SumAnswer> => call('sum', { name, set })
/** Whether this machine and the open file will do. */
export const doctor = (): Promise<Health> => call('doctor')
/** Files a second copy could be kept in, on the sticks that are there. */
export const mirrorPlaces = (): Promise<string[]> => call('mirror_places')
export const mirrorTo = (path: string): Promise<View> => call('mirror', { path })
export const mirrorOff = (): Promise<View> => call('mirror', { path: null })
/** What the commander's window shows: the one thing it may ask for. */
export const told = (): Promise<Told> => call('told')
/** Opens the commander's window or closes it; answers whether it is open now. */
export const commanderWindow = (): Promise<boolean> => call('commander_window')
/** How many entries the window holds that are not on the disk, and whether it asks before it closes. */
export const unsaved = (count: number, asking: boolean): Promise<null> => call('unsaved', { count, asking })
/** Closes the window. */
export const leave = (): Promise<null> => call('leave')
/** Units of the review's and a report's figures: m, kN, kg, or ft, lbf, lb. */
export type Units = 'si' | 'us'

/** What happened, measured; its figures in these units. */
export const review = (units: Units): Promise<ReviewView> => call('review', { units })
/** All operations of the folder, with what `find` asks for. */
export const records = (find: string): Promise<Records> => call('records', { find })
/** The open operation beside the last ones of its team. */
export const compare = (): Promise<CompareView> => call('compare')
/** Writes the report beside the operation file; answers its path. */
export const report = (units: Units): Promise<string> => call('report', { units })
