import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { loadFolder } from '../../src/load/index.ts'
import { allSeries, changeAccount, clientChanges, HORIZONS } from '../../src/measures/index.ts'
import { type Day, parseDay, type Records } from '../../src/records/index.ts'
import { makeRelease, pseudonym, type Release } from '../../src/release/index.ts'
import { rowsOf } from './caseload.ts'

const SECRET = new Uint8Array(32).fill(7)
const DEMO = join(import.meta.dirname, '../../datasets/saltmarsh')

/** People and mean change of each reflex over some clients, straight from the measure. */
function expectedOf(records: Records, asOf: Day, ids: ReadonlySet<string>): Map<string, [number, number]> {
  const clients = records.clients.filter((c) => ids.has(c.client_id))
  const own = {
    ...records,
    clients,
    assessments: records.assessments.filter((a) => ids.has(a.client_id)),
    programmes: records.programmes.filter((p) => ids.has(p.client_id)),
  }
  const { pairs } = changeAccount(own, allSeries(own, { asOf }), HORIZONS.weeks12, asOf)
  return new Map(
    [...new Set(pairs.map((p) => p.reflex))].map((reflex) => {
      const changes = clientChanges(pairs.filter((p) => p.reflex === reflex))
      return [reflex, [changes.length, changes.reduce((sum, c) => sum + c.change, 0) / changes.length]]
    }),
  )
}

describe('the outcomes of a release of which some scores are withheld', () => {
  let records: Records
  let asOf: Day
  let made: Release
  let released: Set<string>
  let shown: Set<string>
  beforeAll(async () => {
    const loaded = await loadFolder(DEMO, { asOf: parseDay('2026-06-30')! })
    records = loaded.records
    asOf = loaded.asOf
    made = makeRelease(records, { asOf, secret: SECRET })
    const idOf = new Map(records.clients.map((c) => [pseudonym(SECRET, 'person', c.client_id), c.client_id]))
    released = new Set(rowsOf(made, 'people.csv').map((r) => idOf.get(r[0]!)!))
    shown = new Set(rowsOf(made, 'scores.csv').map((r) => idOf.get(r[0]!)!))
  })

  it('are of those whose scores leave and nobody else, so that no mean gives back who is withheld', () => {
    expect(made.risk.longitudinal.withheld).toBeGreaterThan(2)
    const expected = expectedOf(records, asOf, shown)
    const rows = rowsOf(made, 'outcomes.csv')
    expect(rows.map((r) => r[0]).sort()).toEqual([...expected.keys()].sort())
    let told = 0
    for (const [reflex, people, , , change] of rows) {
      const [n, mean] = expected.get(reflex!)!
      if (n < 5) expect([people, change]).toEqual(['', ''])
      else {
        told++
        expect(Number(people)).toBe(n)
        expect(Number(change)).toBeCloseTo(mean, 5)
      }
    }
    expect(told).toBeGreaterThan(5)
  })

  it('would otherwise give a withheld person back: the mean of n + 1 less the scores of n', () => {
    const [all, some] = [expectedOf(records, asOf, released), expectedOf(records, asOf, shown)]
    const alone = [...all].filter(([reflex, [n]]) => n - (some.get(reflex)?.[0] ?? 0) === 1)
    expect(alone.length).toBeGreaterThan(0)
    const idsOut = [...released].filter((id) => !shown.has(id))
    for (const [reflex, [n, mean]] of alone) {
      const [m, shownMean] = some.get(reflex) ?? [0, 0]
      const recovered = n * mean - m * shownMean
      const theirs = idsOut.flatMap((id) => expectedOf(records, asOf, new Set([id])).get(reflex) ?? [])
      expect(theirs[1]).toBeCloseTo(recovered, 8)
    }
  })

  it('are told apart from the scores in codebook and risk report', () => {
    const codebook = String(made.files.find((f) => f.name === 'codebook.md')!.content)
    expect(codebook).toContain('of the people whose scores leave and nobody else')
    // 0 to 4 points, not shares: the demo's means at baseline lie above 1.
    expect(codebook).toContain('in points of a 0 to 4 scale')
    const means = rowsOf(made, 'outcomes.csv').flatMap((r) => (r[2] === '' ? [] : Number(r[2])))
    expect(Math.max(...means)).toBeGreaterThan(1)
    expect(Math.max(...means)).toBeLessThanOrEqual(4)
  })
})
