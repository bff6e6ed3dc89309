import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { coarsen } from '../../src/release/longitudinal.ts'
import type { Sequence } from '../../src/release/sequence.ts'
import { inUnits, monthsInUnits, TIME_UNITS, type TimeUnit } from '../../src/release/time-units.ts'
import { twoVisitRisks } from '../../src/release/two-visit-risk.ts'

/** Rows as somebody sees them who is given the tables. */
interface SeenRow {
  readonly person: string
  readonly personClass: string
  readonly units: readonly number[]
  readonly months: number | null
}

/**
 * The attack, by brute force over rows: of every two visits of a person, the rows of the class that have both units (twice
 * where they are one) and were followed long enough; one is picked at random. The best two visits count.
 */
function attack(sequences: readonly Sequence[], unit: TimeUnit, withheld: ReadonlySet<string>): number[] {
  const rows = sequences.map((s): SeenRow => {
    const shown = !withheld.has(s.person)
    return {
      person: s.person,
      personClass: s.personClass,
      units: shown ? s.days.map((d) => inUnits(d, unit)) : [],
      months: shown ? monthsInUnits(s.monthsFollowed, unit) : null,
    }
  })
  return sequences.map((s) => {
    const alike = rows.filter((r) => r.personClass === s.personClass)
    let best = 1 / alike.length
    for (const a of s.days)
      for (const b of s.days) {
        if (b <= a && s.days.length > 1) continue
        const [u, v] = [inUnits(a, unit), inUnits(b, unit)]
        const apart = monthsInUnits(Math.floor((b - a) / 30.4375), unit) ?? 0
        const fits = alike.filter(
          (r) =>
            r.units.includes(u) &&
            r.units.includes(v) &&
            (u !== v || a === b || r.units.filter((x) => x === u).length > 1) &&
            (r.months === null || r.months >= apart),
        )
        const guess = fits.length > 0 ? fits : alike.filter((r) => withheld.has(r.person))
        if (guess.some((r) => r.person === s.person)) best = Math.max(best, 1 / guess.length)
      }
    return best
  })
}

const sequences = fc
  .array(
    fc.record({
      personClass: fc.constantFrom('x', 'y'),
      days: fc.uniqueArray(fc.integer({ min: -200, max: 500 }), { maxLength: 5 }),
      extra: fc.integer({ min: 0, max: 3 }),
    }),
    { minLength: 1, maxLength: 24 },
  )
  .map((all) =>
    all.map(({ personClass, days, extra }, i): Sequence => {
      const span = days.length > 0 ? Math.max(0, ...days) - Math.min(0, ...days) : 0
      return {
        person: `p${String(i).padStart(2, '0')}`,
        personClass,
        days,
        reflexes: [],
        monthsFollowed: days.length > 0 ? Math.floor(span / 30.4375) + extra : null,
      }
    }),
  )

describe('what two known visits give away', () => {
  it('is what an attack by brute force reaches, and never less', () => {
    fc.assert(
      fc.property(
        sequences,
        fc.constantFrom(...TIME_UNITS),
        fc.integer({ min: 1, max: 9 }),
        (all, unit, every) => {
          const withheld = new Set(all.filter((_, i) => i % every === every - 1).map((s) => s.person))
          const risks = twoVisitRisks(all, unit, withheld)
          attack(all, unit, withheld).forEach((reached, i) => {
            if (withheld.has(all[i]!.person)) expect(reached).toBeLessThanOrEqual(risks[i]!)
            else expect(reached).toBeCloseTo(risks[i]!, 12)
          })
        },
      ),
      { numRuns: 400 },
    )
  })

  it('stays within the share that was asked, whoever is in the tables, or a whole class is withheld', () => {
    fc.assert(
      fc.property(sequences, fc.constantFrom(0, 0.05, 0.3), (all, maxUnique) => {
        const { released, withheld, unit } = coarsen(all, { maxUnique })
        const out = new Set(withheld)
        expect(released.uniqueBySequence).toBeLessThanOrEqual(maxUnique)
        const certain = attack(all, unit, out).filter((risk) => risk === 1).length
        const lonely = ['x', 'y'].filter((c) => all.filter((s) => s.personClass === c).length === 1).length
        expect(certain).toBeLessThanOrEqual(Math.max(lonely, maxUnique * all.length))
        expect(certain / all.length).toBeLessThanOrEqual(released.twoVisitAlone)
      }),
      { numRuns: 400 },
    )
  })
})
