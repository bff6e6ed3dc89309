import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../src/errors.ts'
import type { Day, Records } from '../../src/records/index.ts'
import { makeRelease, pseudonym, type Release } from '../../src/release/index.ts'
import { caseload, rowsOf, startOf, textOf } from './caseload.ts'

const SECRET = new Uint8Array(32).fill(9)

/** Starting severity in quarters of the scale, worked out here from the assessments alone. */
function severity(records: Records, id: string, asOf: Day): string {
  const start = startOf(records, id, asOf)
  const series = new Map<string, [number, number][]>()
  for (const a of records.assessments)
    if (a.client_id === id && a.assessed_on <= asOf) {
      const key = `${a.reflex}/${a.side}`
      series.set(key, [...(series.get(key) ?? []), [a.assessed_on, a.score / a.scale_max]])
    }
  if (series.size === 0) return 'not known'
  const at = [...series.values()].map((rows) => {
    const sorted = rows.sort((x, y) => x[0] - y[0])
    return (sorted.filter(([day]) => day <= start!).at(-1) ?? sorted[0]!)[1]
  })
  const mean = at.reduce((x, y) => x + y, 0) / at.length
  return mean === 0 ? 'none' : String(Math.min(3, Math.floor(4 * mean)))
}

/** Recomputes from the CSV what the release promises of its people. */
function checkPeople(records: Records, asOf: Day, made: Release, k: number, l: number): void {
  const consenting = records.clients.filter((c) => c.research_consent === 'yes')
  const idOf = new Map(consenting.map((c) => [pseudonym(SECRET, 'person', c.client_id), c.client_id]))
  const people = rowsOf(made, 'people.csv')
  const classes = new Map<string, string[]>()
  for (const [person, ...cells] of people) {
    expect(idOf.has(person!), 'only who consented').toBe(true)
    const key = JSON.stringify(cells.slice(0, 4))
    classes.set(key, [...(classes.get(key) ?? []), severity(records, idOf.get(person!)!, asOf)])
  }
  const smallest = Math.min(...[...classes.values()].map((c) => c.length))
  const fewest = Math.min(...[...classes.values()].map((c) => new Set(c).size))
  expect(smallest).toBeGreaterThanOrEqual(k)
  expect(fewest).toBeGreaterThanOrEqual(l)
  expect(made.risk).toMatchObject({ k: { reached: smallest }, l: { reached: fewest } })
  expect(made.risk.prosecutorRisk.max).toBeCloseTo(1 / smallest, 12)
  expect(made.risk.prosecutorRisk.mean).toBeCloseTo(classes.size / people.length, 12)
  expect(people.length + made.risk.people.suppressed).toBe(consenting.length)
  expect(made.risk.people.suppressed).toBeLessThanOrEqual(0.05 * consenting.length)
  const known = new Set(people.map(([person]) => person))
  for (const table of ['scores.csv', 'adherence.csv'])
    for (const [person] of rowsOf(made, table)) expect(known.has(person)).toBe(true)
}

describe('a release', () => {
  it('is k-anonymous and l-diverse whatever the caseload, and holds only who consented', () => {
    let released = 0
    fc.assert(
      fc.property(
        fc.integer({ min: 30, max: 120 }),
        fc.nat(9999),
        fc.constantFrom(2, 3, 5, 8),
        fc.constantFrom(1, 2, 3),
        (n, seed, k, l) => {
          const { records, asOf } = caseload(n, seed)
          let made: Release
          try {
            made = makeRelease(records, { asOf, secret: SECRET, k, l })
          } catch (error) {
            expect(error).toBeInstanceOf(UserError)
            expect(String(error)).toContain('nearest that can be reached')
            return
          }
          released++
          checkPeople(records, asOf, made, k, l)
        },
      ),
      { numRuns: 16 },
    )
    expect(released).toBeGreaterThan(4)
  })

  const { records, asOf } = caseload(150, 4)
  const made = makeRelease(records, { asOf, secret: SECRET, k: 3, l: 1 })

  it('has the same bytes under the same secret, whatever the order of the records', () => {
    const options = { asOf, secret: SECRET, k: 3, l: 1 }
    expect(makeRelease(records, options).files).toEqual(made.files)
    const turned = {
      ...records,
      clients: records.clients.toReversed(),
      assessments: records.assessments.toReversed(),
      programmes: records.programmes.toReversed(),
    }
    const files = makeRelease(turned, options).files
    for (const name of ['people.csv', 'scores.csv'])
      expect(files.find((f) => f.name === name)).toEqual(made.files.find((f) => f.name === name))
  })

  it('has spreadsheet-safe words', () => {
    expect(textOf(made, 'people.csv')).toContain(",'=early,")
    for (const t of made.tables)
      expect(textOf(made, `${t.definition.name}.csv`)).not.toMatch(/(^|,)"?([=+@\t\r]|-(?!\d))/m)
  })
})
