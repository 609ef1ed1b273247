// An invented machine under the doctor's eyes.
import type { Health } from '../wire/Health'

const row = (id: string, standing: string, words: string, remedy = ''): Health['rows'][number] => ({ id, standing, words, remedy })

export const HEALTH: Health = {
  rows: [
    row('disk', 'look', '640 MB are free where operations are kept (/home/scribe/Ledgebook)', 'free some space soon'),
    row('disk', 'in_order', 'a page was written and forced to the disk in 4 ms'),
    row('clock', 'in_order', 'it is 2026-05-14 13:31:46 (UTC+02:00); whether it is right to the minute nobody here can check', 'hold it against a watch'),
    row('file', 'in_order', '/home/scribe/Ledgebook/Kestrel Wall.ledge: opens, its chain fits: 71 entries', 'hold it against a report: ledgebook log verify FILE --against REPORT.pdf'),
    row('lock', 'in_order', 'this window writes into the file'),
    row('mirror', 'not_checked', 'a second copy is kept at /run/media/scribe/STICK/Kestrel Wall.jsonl while the file is open for writing; whether it is in step is not asked here'),
    row('display', 'trouble', 'there is no display to open a window on'),
    row('versions', 'in_order', 'Ledgebook 0.1.0, SQLite 3.54.1, WebView 2.48.5'),
  ],
}
