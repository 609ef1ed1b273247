/** Kinds of entries the line can be asked for, in words; the words of the program beside them. */
export const KIND_WORDS: Record<string, string> = {
  orders: 'orders',
  readbacks: 'readbacks',
  reports: 'reports',
  notes: 'notes',
  people: 'people and PAR',
  rig: 'rig',
}
