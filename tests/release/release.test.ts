import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { Ajv } from 'ajv'
import fc from 'fast-check'
import { parquetReadObjects } from 'hyparquet'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../src/errors.ts'
import { formatDay, type Records } from '../../src/records/index.ts'
import { makeRelease, pseudonym, type Release } from '../../src/release/index.ts'
import { NO_EFFECT_MODEL, simulateCaseload } from '../measures/simulate.ts'

const SECRET = new Uint8Array(32).fill(9)
const SEXES = ['female', 'male', null] as const

/** An invented caseload whose every third client keeps out of research. */
function caseload(clients: number, seed: number): { records: Records; asOf: number } {
  const { records, asOf } = simulateCaseload(seed, { ...NO_EFFECT_MODEL, clients })
  return {
    asOf,
    records: {
      ...records,
      clients: records.clients.map((c, i) => ({
        ...c,
        sex: SEXES[(i * 7 + seed) % 3]!,
        site: ['Heron', 'Curlew', 'Plover'][(i * 5 + seed) % 3]!,
        group: ['=early', 'school'][i % 2]!,
        research_consent: i % 3 === 0 ? 'no' : 'yes',
      })),
    },
  }
}

const textOf = (r: Release, name: string): string => String(r.files.find((f) => f.name === name)!.content)
/** Cells without commas or quotes, which these caseloads have none of. */
const rowsOf = (r: Release, name: string): string[][] =>
  textOf(r, name)
    .trimEnd()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','))

/** Starting severity, worked out here from the assessments alone, in quarters. */
function severity(records: Records, id: string): string {
  const start = Math.min(...records.programmes.filter((p) => p.client_id === id).map((p) => p.starts_on))
  const series = new Map<string, [number, number][]>()
  for (const a of records.assessments)
    if (a.client_id === id) {
      const key = `${a.reflex}/${a.side}`
      series.set(key, [...(series.get(key) ?? []), [a.assessed_on, a.score / a.scale_max]])
    }
  const at = [...series.values()].map((rows) => {
    const sorted = rows.sort((x, y) => x[0] - y[0])
    return (sorted.filter(([day]) => day <= start).at(-1) ?? sorted[0]!)[1]
  })
  const mean = at.reduce((x, y) => x + y, 0) / at.length
  return mean === 0 ? 'none' : String(Math.min(3, Math.floor(4 * mean)))
}

describe('a release', () => {
  it('is k-anonymous and l-diverse whatever the caseload, and holds only who consented', () => {
    fc.assert(
      fc.property(fc.integer({ min: 45, max: 150 }), fc.nat(999), fc.constantFrom(2, 5, 8), (n, seed, k) => {
        const { records, asOf } = caseload(n, seed)
        let made: Release
        try {
          made = makeRelease(records, { asOf, secret: SECRET, k, l: 2 })
        } catch (error) {
          expect(error).toBeInstanceOf(UserError)
          expect(String(error)).toContain('nearest that can be reached')
          return
        }
        const consenting = records.clients.filter((c) => c.research_consent === 'yes')
        const idOf = new Map(consenting.map((c) => [pseudonym(SECRET, 'person', c.client_id), c.client_id]))
        const people = rowsOf(made, 'people.csv')
        const groups = new Map<string, Set<string>>()
        const sizes = new Map<string, number>()
        for (const [person, ...cells] of people) {
          const key = cells.slice(0, 4).join()
          expect(idOf.has(person!)).toBe(true)
          sizes.set(key, (sizes.get(key) ?? 0) + 1)
          groups.set(key, (groups.get(key) ?? new Set()).add(severity(records, idOf.get(person!)!)))
        }
        expect(Math.min(...sizes.values())).toBeGreaterThanOrEqual(k)
        expect(Math.min(...[...groups.values()].map((g) => g.size))).toBeGreaterThanOrEqual(2)
        expect(people.length + made.risk.people.suppressed).toBe(consenting.length)
        for (const table of ['scores.csv', 'adherence.csv'])
          for (const [person] of rowsOf(made, table)) expect(people.some((p) => p[0] === person)).toBe(true)
      }),
      { numRuns: 12 },
    )
  })

  const { records, asOf } = caseload(120, 4)
  const made = makeRelease(records, { asOf, secret: SECRET, k: 3 })

  it('has the same bytes under the same secret, and spreadsheet-safe words', () => {
    expect(makeRelease(records, { asOf, secret: SECRET, k: 3 }).files).toEqual(made.files)
    for (const t of made.tables)
      expect(textOf(made, `${t.definition.name}.csv`)).not.toMatch(/(^|,)"?[=+@\t]/m)
  })

  it('has Parquet that equals the CSV', async () => {
    for (const { definition } of made.tables) {
      const bytes = made.files.find((f) => f.name === `${definition.name}.parquet`)!.content as Uint8Array
      const file = bytes.slice().buffer as ArrayBuffer
      const rows = await parquetReadObjects({ file })
      const cells = rows.map((r) =>
        definition.fields.map((f) =>
          String(r[f.name] ?? '').replace(/^(?==)/, f.type === 'string' ? "'" : ''),
        ),
      )
      expect(cells).toEqual(rowsOf(made, `${definition.name}.csv`))
    }
  })

  it('has a data package that the published schemas accept', () => {
    const data = (name: string) => {
      const { $schema: _, ...schema } = JSON.parse(
        readFileSync(join(import.meta.dirname, 'data', name), 'utf8'),
      )
      return new Ajv({ strict: false, validateFormats: false, allErrors: true }).compile(schema)
    }
    const [isPackage, isSchema] = [data('data-package.json'), data('table-schema.json')]
    const json = JSON.parse(textOf(made, 'datapackage.json'))
    expect(isPackage(json), JSON.stringify(isPackage.errors)).toBe(true)
    for (const r of json.resources) expect(isSchema(r.schema), JSON.stringify(isSchema.errors)).toBe(true)
    expect(isSchema({ fields: [{ type: 'string' }] })).toBe(false)
  })

  it('is found by two known visits no more often than the risk report says', () => {
    const { released, unit } = made.risk.longitudinal
    const step = {
      day: 1,
      week: 7,
      month: 30.4375,
      quarter: 91.3125,
      half_year: 182.625,
      before_or_after: 1e9,
    }[unit]
    const people = rowsOf(made, 'people.csv')
    const units = new Map<string, Set<number>>()
    for (const [person, , , at] of rowsOf(made, 'scores.csv'))
      units.set(person!, (units.get(person!) ?? new Set()).add(Number(at)))
    let success = 0
    let worst = 0
    const released_ = new Map(people.map((p) => [p[0]!, p]))
    for (const { client_id } of records.clients) {
      const person = pseudonym(SECRET, 'person', client_id)
      const row = released_.get(person)
      if (!row) continue
      const start = Math.min(
        ...records.programmes.filter((p) => p.client_id === client_id).map((p) => p.starts_on),
      )
      const days = [
        ...new Set(records.assessments.filter((a) => a.client_id === client_id).map((a) => a.assessed_on)),
      ]
      let best = 0
      for (const a of days)
        for (const b of days.filter((d) => d > a)) {
          const seen = [a, b].map((d) => Math.floor((d - start) / step))
          const fits = people.filter(
            (p) =>
              p.slice(1, 5).join() === row.slice(1, 5).join() && seen.every((u) => units.get(p[0]!)?.has(u)),
          )
          const guess =
            fits.length > 0
              ? fits
              : people.filter((p) => p.slice(1, 5).join() === row.slice(1, 5).join() && !units.has(p[0]!))
          if (guess.some((p) => p[0] === person)) best = Math.max(best, 1 / guess.length)
        }
      success += best
      worst = Math.max(worst, best)
    }
    expect(success / people.length).toBeLessThanOrEqual(released.twoVisitRiskMean + 1e-9)
    expect(worst).toBeLessThanOrEqual(released.twoVisitRiskMax)
    expect(success).toBeGreaterThan(0)
  })

  it('lets none of a thousand planted identifiers out', () => {
    const consenting = records.clients.filter((c) => c.research_consent === 'yes')
    let planted = 0
    for (let round = 0; planted < 1000; round++) {
      const plants: string[] = []
      const plant = (text: string): string => {
        plants.push(text)
        return text
      }
      const rename = new Map(records.clients.map((c, i) => [c.client_id, plant(`ID${round}x${i}q`)]))
      const birth = formatDay(consenting[round % consenting.length]!.birth_date!)
      const spread = round % 2 === 0
      const named = plant(`Zoe${round}y Quill${round}z`)
      const dirty: Records = {
        ...records,
        clients: records.clients.map((c, i) => ({
          ...c,
          client_id: rename.get(c.client_id)!,
          clinician: named,
          site: spread ? `with ${named}` : i === 1 ? plant(`home of ${birth}`) : c.site,
          group: i === 2 ? plant(`only ID${round}x2q`) : c.group,
        })),
        assessments: records.assessments.map((a) => ({
          ...a,
          client_id: rename.get(a.client_id)!,
          rater_id: named,
        })),
        programmes: records.programmes.map((p) => ({ ...p, client_id: rename.get(p.client_id)! })),
      }
      planted += plants.length
      try {
        const { files } = makeRelease(dirty, { asOf, secret: SECRET, k: 3, sourceFiles: [`${named}.csv`] })
        const all = files.map((f) => Buffer.from(f.content).toString('latin1')).join('\n')
        for (const text of [...plants, birth]) expect(all.includes(text), text).toBe(false)
      } catch (error) {
        expect(error).toBeInstanceOf(UserError)
        for (const text of plants) expect(String(error)).not.toContain(text)
      }
    }
  })
})
