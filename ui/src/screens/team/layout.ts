import type { Band, Row, Zone } from './bands'

/** Heights in px: a row, the gap between zones, the head above the first row. */
export const ROW = 48
export const GAP = 10
export const HEAD = 36

/** Where a zone lies: an empty one keeps the height of a row, so that the rope is never cut short. */
export interface Placed {
  band: Band
  top: number
  bottom: number
}

export function placed(bands: Band[]): Placed[] {
  let top = HEAD
  return bands.map((band) => {
    const bottom = top + Math.max(1, band.rows.length) * ROW
    const one = { band, top, bottom }
    top = bottom + GAP
    return one
  })
}

/** Where a knot hangs on the rope: one for each row. */
export interface Knot {
  key: string
  y: number
  zone: Zone
  vacant: boolean
}

export function knots(zones: Placed[]): Knot[] {
  return zones.flatMap(({ band, top }) =>
    band.rows.map((row: Row, i: number) => ({
      key: row.key,
      y: top + i * ROW + ROW / 2,
      zone: band.zone,
      vacant: row.kind === 'vacant',
    })),
  )
}
