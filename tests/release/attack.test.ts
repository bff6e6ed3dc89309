import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../src/errors.ts'
import { loadFolder } from '../../src/load/index.ts'
import { type Client, type Day, parseDay, type Records } from '../../src/records/index.ts'
import { makeRelease, pseudonym, type Release, TIME_UNITS } from '../../src/release/index.ts'
import { seededStream } from '../../src/statistics/index.ts'
import { caseload, rowsOf, startOf } from './caseload.ts'

const SECRET = new Uint8Array(32).fill(3)
const MONTH = 30.4375 // 365.25 ÷ 12
const DAYS: Record<string, number> = {
  day: 1,
  week: 7,
  month: MONTH,
  quarter: 3 * MONTH,
  half_year: 6 * MONTH,
}

const unitOf = (day: number, unit: string): number =>
  unit === 'before_or_after' ? (day < 0 ? -1 : 0) : Math.floor(day / DAYS[unit]!)

/** Whether a released age band holds this age: read from the text alone, as a stranger would. */
function bandHolds(band: string, months: number | null): boolean {
  if (band === '*') return true
  if (months === null || band === 'not known') return (months === null) === (band === 'not known')
  const years = Math.floor(months / 12)
  const [low, high] = (band.match(/\d+/g) ?? []).map(Number)
  if (band.endsWith('months')) return Math.floor(months) === low
  if (band.startsWith('under')) return years < low!
  if (band.endsWith('and over')) return years >= low!
  return high === undefined ? years === low && months >= 36 : years >= low! && years <= high
}

interface Row {
  readonly person: string
  readonly cells: readonly string[]
  readonly units: ReadonlySet<number>
}

/** The tables as the adversary holds them. */
function held(made: Release): Row[] {
  const units = new Map<string, Set<number>>()
  for (const [person, , , at] of rowsOf(made, 'scores.csv'))
    units.set(person!, (units.get(person!) ?? new Set()).add(Number(at)))
  return rowsOf(made, 'people.csv').map(([person, ...cells]) => ({
    person: person!,
    cells,
    units: units.get(person!) ?? new Set(),
  }))
}

/** Rows that fit age in months, sex, group and site; "=" carries an apostrophe in the CSV. */
const alike = (rows: readonly Row[], c: Client, months: number | null): Row[] =>
  rows.filter(
    ({ cells }) =>
      bandHolds(cells[0]!, months) &&
      [c.sex, c.group, c.site].every((x, i) =>
        ['*', x === null ? 'not known' : x.replace(/^=/, "'=")].includes(cells[i + 1]!),
      ),
  )

/** Rows that two visits leave: seen in both units, and followed for as long as the two lie apart. */
function guesses(rows: readonly Row[], visits: readonly [Day, Day], unit: string): Row[] {
  const seen = visits.map((d) => unitOf(d, unit))
  const apart = Math.abs(visits[1] - visits[0]) / MONTH
  const step = unit === 'half_year' ? 6 : unit === 'quarter' ? 3 : 1
  const least = Math.floor(Math.floor(apart) / step) * step
  const fits = rows.filter(
    ({ cells, units }) => seen.every((u) => units.has(u)) && (cells[4] === '' || Number(cells[4]) >= least),
  )
  return fits.length > 0 ? fits : rows.filter((r) => r.units.size === 0)
}

/** The chance of the adversary for each person: two random visits, and the worst two. */
function attack(records: Records, asOf: Day, made: Release): { mean: number; worst: number[] } {
  const rows = held(made)
  const { unit } = made.risk.longitudinal
  const r = seededStream(1, ['adversary'])
  const worst: number[] = []
  let random = 0
  for (const client of records.clients) {
    const person = pseudonym(SECRET, 'person', client.client_id)
    if (client.research_consent !== 'yes' || !rows.some((row) => row.person === person)) continue
    const start = startOf(records, client.client_id, asOf) ?? client.enrolled_on
    const born = client.birth_date
    const months = start === null || born === null ? null : (start - born) / MONTH
    const near = alike(rows, client, months)
    expect(near.some((row) => row.person === person)).toBe(true)
    const own = records.assessments.filter((a) => a.client_id === client.client_id && a.assessed_on <= asOf)
    const days = [...new Set(own.map((a) => a.assessed_on - start!))]
    const pairs = days.flatMap((a, i) => days.slice(i + 1).map((b) => [a, b] as const))
    const chances = pairs.map((pair) => {
      const fits = guesses(near, pair, unit)
      return fits.some((row) => row.person === person) ? 1 / fits.length : 0
    })
    if (chances.length === 0) chances.push(1 / near.length)
    worst.push(Math.max(...chances))
    random += chances[r.below(chances.length)]!
  }
  return { mean: random / worst.length, worst }
}

/** @returns how often the adversary was right on average, with the worst visits */
function heldToReport(records: Records, asOf: Day, made: Release): number {
  const { released } = made.risk.longitudinal
  const { mean, worst } = attack(records, asOf, made)
  expect(worst).toHaveLength(made.risk.people.released)
  const meanWorst = worst.reduce((a, b) => a + b, 0) / worst.length
  expect(mean).toBeLessThanOrEqual(released.twoVisitRiskMean + 1e-9)
  expect(meanWorst).toBeLessThanOrEqual(released.twoVisitRiskMean + 1e-9)
  expect(Math.max(...worst)).toBeLessThanOrEqual(released.twoVisitRiskMax + 1e-9)
  return meanWorst
}

describe('an adversary who knows age in months, sex, site, group and two visits to the day', () => {
  it('finds people of the demo clinic no more often than the risk report says', async () => {
    const folder = join(import.meta.dirname, '../../datasets/saltmarsh')
    const { records, asOf } = await loadFolder(folder, { asOf: parseDay('2026-06-30')! })
    for (const k of [3, 5]) {
      const made = makeRelease(records, { asOf, secret: SECRET, k })
      const found = heldToReport(records, asOf, made)
      // The report is no empty promise: the adversary comes near to what it says.
      expect(found).toBeGreaterThan(made.risk.longitudinal.released.twoVisitRiskMean / 2)
    }
  })

  it('finds people of random caseloads no more often either, in any unit of time', () => {
    let attacked = 0
    for (let seed = 0; seed < 18; seed++) {
      const { records, asOf } = caseload(60 + 12 * (seed % 6), seed)
      const finest = TIME_UNITS[seed % TIME_UNITS.length]!
      const maxUnique = seed % 3 === 0 ? 1 : 0.05
      let made: Release
      try {
        made = makeRelease(records, { asOf, secret: SECRET, k: 2 + (seed % 4), finest, maxUnique })
      } catch (error) {
        expect(error).toBeInstanceOf(UserError)
        continue
      }
      attacked++
      expect(heldToReport(records, asOf, made)).toBeGreaterThan(0)
    }
    expect(attacked).toBeGreaterThan(10)
  })

  it('fails, as one should, against tables of days: the report says that nearly everybody is found', () => {
    const { records, asOf } = caseload(90, 5)
    const made = makeRelease(records, { asOf, secret: SECRET, k: 2, finest: 'day', maxUnique: 1 })
    const found = heldToReport(records, asOf, made)
    expect(found).toBeGreaterThan(0.8)
  })
})
