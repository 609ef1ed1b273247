import type { BandKn } from '../../wire/BandKn'
import type { PartFinding } from '../../wire/PartFinding'

/** Margins are cut, never rounded up: 9.99 reads "9.9 : 1". */
export function marginWords(margin: number | null): string {
  if (margin === null || !Number.isFinite(margin)) return 'not checked'
  const cut = Math.floor(margin * 10 + 1e-9) / 10
  return cut >= 100 ? `${Math.floor(cut)} : 1` : `${cut.toFixed(1)} : 1`
}

/** "1.72 kN", and the range where it has one: "1.72 kN, from 1.20 to 2.45". */
export function forceWords(force: BandKn | null): string {
  if (force === null) return 'force not solved'
  const nominal = force.nominal.toFixed(2)
  const low = force.low.toFixed(2)
  const high = force.high.toFixed(2)
  return low === high ? `${nominal} kN` : `${nominal} kN, from ${low} to ${high}`
}

/** "22 kN" or "strength not rated". */
export function strengthWords(strength: number | null): string {
  return strength === null ? 'strength not rated' : `${Math.floor(strength * 10 + 1e-9) / 10} kN`
}

/** A part's margin after a loss beside what it was before. */
export interface Changed {
  id: string
  label: string
  now: PartFinding
  was: string
}

/** Parts whose margin reads otherwise after a loss; the worst first, what is unknown before what holds. */
export function changes(before: PartFinding[], after: PartFinding[]): Changed[] {
  const old = new Map(before.map((p) => [p.id, p]))
  const out: Changed[] = []
  for (const now of after) {
    const was = old.get(now.id)
    if (was === undefined) continue
    const text = carries(was) ? marginWords(was.margin) : 'no load'
    const reads = carries(now) ? marginWords(now.margin) : 'no load'
    if (text !== reads) out.push({ id: now.id, label: now.label, now, was: text })
  }
  return out.sort((a, b) => order(a.now) - order(b.now))
}

/** Whether the part carries anything worth a margin; an unsolved force may. */
export function carries(part: PartFinding): boolean {
  return part.force_kN === null || part.force_kN.high > 0.005
}

function order(part: PartFinding): number {
  if (!carries(part)) return 1e9
  if (part.verdict === 'falls_short') return part.margin ?? 0
  if (part.verdict === 'not_checked') return 1e6
  return 1e7 + (part.margin ?? 0)
}

/** Four figures that count, with the unit; people are counted. */
export function figureWords(value: number, unit: string): string {
  if (unit === 'people') return `${value.toFixed(0)} people`
  const magnitude = value === 0 ? 0 : Math.floor(Math.log10(Math.abs(value)))
  const digits = value.toFixed(Math.min(20, Math.max(0, 3 - magnitude)))
  return unit === '' ? digits : `${digits} ${unit === 'deg' ? '°' : unit}`.replace(' °', '°')
}
