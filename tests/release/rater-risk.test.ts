import { beforeAll, describe, expect, it } from 'vitest'
import { makeRelease, type Release, riskMarkdown } from '../../src/release/index.ts'
import { load } from '../load/folder.ts'
import { rowsOf } from './caseload.ts'
import { plainExports } from './clinic.ts'

const SECRET = new Uint8Array(32).fill(9)

describe("what the raters' pseudonyms give away", () => {
  let withRaters: Release
  let without: Release
  beforeAll(async () => {
    const { records, asOf } = await load(plainExports(60))
    // Five clients have a rater of their own.
    const own = new Set(
      records.clients
        .filter((c) => c.research_consent === 'yes')
        .slice(0, 5)
        .map((c) => c.client_id),
    )
    const assessments = records.assessments.map((a) =>
      own.has(a.client_id) ? { ...a, rater_id: `rare ${a.client_id}` } : a,
    )
    withRaters = makeRelease({ ...records, assessments }, { asOf, secret: SECRET })
    without = makeRelease({ ...records, assessments }, { asOf, secret: SECRET, raters: false })
  })

  it('is the share alone in their class by the set of raters, counted anew from the CSV', () => {
    const classOf = new Map(rowsOf(withRaters, 'people.csv').map((r) => [r[0]!, r.slice(1, 5).join('|')]))
    const ratersOf = new Map<string, Set<string>>()
    for (const row of rowsOf(withRaters, 'scores.csv')) {
      const own = ratersOf.get(row[0]!) ?? new Set()
      ratersOf.set(row[0]!, row[6] === '' ? own : own.add(row[6]!))
    }
    const keys = [...ratersOf].map(([p, raters]) => `${classOf.get(p)} ${[...raters].sort().join()}`)
    const alone = keys.filter((key) => keys.indexOf(key) === keys.lastIndexOf(key)).length / keys.length
    expect(alone).toBeGreaterThan(0)
    expect(withRaters.risk.raters).toEqual({ leave: true, alone: expect.closeTo(alone, 12) })
    expect(riskMarkdown(withRaters.risk)).toContain('by whom they were scored')
  })

  it('is nothing where who scored does not leave', () => {
    for (const row of rowsOf(without, 'scores.csv')) expect(row[6]).toBe('')
    expect(without.risk.raters).toEqual({ leave: false, alone: 0 })
    expect(riskMarkdown(without.risk)).toContain('who scored does not leave')
  })
})
