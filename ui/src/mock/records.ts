// Records of an invented folder.
import type { Records } from '../wire/Records'

const HITS: Records['hits'] = [
  { file: 'a', operation: 'Kestrel Wall', when: '2026-05-14 13:02', seq: 59, time: '13:27:12', who: 'edge attendant', text: 'roller has shifted' },
  { file: 'b', operation: 'Tern Slab', when: '2026-04-02 09:30', seq: 31, time: '10:01:05', who: 'rope two', text: 'roller is loose' },
]

export function mockRecords(find: string): Records {
  const operation = { purpose: 'drill', closed: true, entries: 412, lasted_s: 4920, people: 9, stops: 1, trouble: null }
  return {
    folder: '/home/scribe/Ledgebook',
    how: 'hours: from check-in to check-out; gear is told apart by the name it has in its rig',
    operations: [
      { ...operation, file: 'a', name: 'Kestrel Wall', place: 'north bench', when: '2026-05-14 13:02' },
      { ...operation, file: 'b', name: 'Tern Slab', place: 'sea cliff', when: '2026-04-02 09:30', trouble: 'the file is damaged' },
    ],
    people: [
      { person: 'Ilse Brandt', operations: 2, here_s: 9840, on_rope_s: 0, roles: [['incident commander', 9600]] },
      { person: 'Aksel Thorne', operations: 1, here_s: 4920, on_rope_s: 1660, roles: [['litter attendant', 4100]] },
    ],
    gear: [
      { gear: 'rope A, 60 m', what: 'rope', operations: 2, metres: 68, losses: 1, beyond: 1, quarantined: false, last: '2026-05-14 13:02',
        inspect: ['2026-05-14 13:02, Kestrel Wall: carried the load while check 45 said that its margin fell short'] },
      { gear: 'roller two', what: 'gear', operations: 0, metres: 0, losses: 0, beyond: 0, quarantined: true, last: '',
        inspect: ['2026-05-14 13:02, Kestrel Wall: out of use by Ilse Brandt: shifted under load'] },
      { gear: 'device on rope two', what: 'device', operations: 2, metres: 68, losses: 0, beyond: 0, quarantined: false, last: '2026-05-14 13:02', inspect: [] },
    ],
    unread: [{ file: '/home/scribe/Ledgebook/torn.ledge', why: 'this is not an operation file of Ledgebook' }],
    hits: HITS.filter((hit) => find !== '' && hit.text.includes(find)),
    more_hits: 0,
  }
}
