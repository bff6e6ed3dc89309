import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { csvOf } from '../../src/records/index.ts'
import { caseload, guideFor, layout, loadBytes, written } from '../load/layout.ts'
import { survives } from '../load/mutations.ts'

const MUTATIONS = Number(process.env.MUTATION_RUNS ?? 100_000)
const LAYOUTS = Number(process.env.LAYOUT_RUNS ?? 10_000)

describe('reading, at length', () => {
  it(`survives ${MUTATIONS} damaged files`, async () => {
    const outcomes = { read: 0, refused: 0 }
    for (let seed = 1_000_000; seed < 1_000_000 + MUTATIONS; seed++) outcomes[await survives(seed)]++
    expect(outcomes.read).toBeGreaterThan(MUTATIONS / 2)
  })

  it(`gives back ${LAYOUTS} caseloads from random layouts`, async () => {
    await fc.assert(
      fc.asyncProperty(caseload, layout, async (records, how) => {
        const read = await loadBytes(written(records as Parameters<typeof written>[0], how), guideFor(how))
        for (const table of ['clients', 'assessments', 'programmes', 'sessions'] as const)
          expect([...csvOf(read.records, table)].join('')).toBe([...csvOf(records, table)].join(''))
      }),
      { numRuns: LAYOUTS },
    )
  })
})
