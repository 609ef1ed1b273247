/** The facts of the size-up: each is a note that begins with its name and a colon. */
export interface FactField {
  name: string
  label: string
  hint: string
}

export const FACTS: FactField[] = [
  { name: 'objective', label: 'Objective', hint: 'who, where, what is to be done' },
  { name: 'patient', label: 'Patient', hint: 'condition, weight, what hurts' },
  { name: 'weather', label: 'Weather', hint: 'dry or wet, wind, what is coming' },
  { name: 'light', label: 'Light left', hint: 'until when' },
  { name: 'access', label: 'Access', hint: 'way in and out, landing, vehicles' },
  { name: 'channel', label: 'Channel', hint: 'radio channel of the rope system' },
]

/** What is agreed at the brief; each is a note as well. */
export const AGREED: FactField[] = [
  { name: 'plan', label: 'Plan', hint: 'who goes where, in which order' },
  { name: 'abort', label: 'Abort', hint: 'what ends it, and what is done then' },
  { name: 'signals', label: 'Signals', hint: 'the team’s own code, as confirmed' },
  { name: 'lost communications', label: 'Lost comms', hint: 'what is done; else the guidelines’ act' },
]

/** Marks of the patient's way, in its order. */
export const PATIENT_MARKS = ['reached', 'packaged', 'over_the_edge', 'on_the_ground', 'at_the_top', 'handed_over']
