import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { csvOf, type TableName } from '../../src/records/index.ts'
import { caseload, guideFor, type Layout, layout, loadBytes, written } from './layout.ts'

const TABLES: readonly TableName[] = ['clients', 'assessments', 'programmes', 'sessions', 'problems']
const RUNS = Number(process.env.LAYOUT_RUNS ?? 250)

describe('a caseload in any layout', () => {
  it(
    'comes back as it was',
    async () => {
      await fc.assert(
        fc.asyncProperty(caseload, layout, async (records, how) => {
          const files = written(records as Parameters<typeof written>[0], how)
          const read = await loadBytes(files, guideFor(how))
          const overlapping = new Set(['log-1.csv', 'log-2.csv'])
          for (const table of TABLES) {
            const found = [...csvOf(read.records, table)].join('')
            const wanted = [...csvOf(records, table)].join('')
            // Where two logs overlap, what stands in both is counted once and told as a duplicate.
            if (table === 'problems' && how.overlap)
              expect(
                read.records.problems.every((p) => p.rule === 'duplicate_row' && overlapping.has(p.file)),
              ).toBe(true)
            else expect(found).toBe(wanted)
          }
          for (const { records: n, kept, rejected } of read.ledger) expect(kept + rejected).toBe(n)
        }),
        { numRuns: RUNS, seed: Number(process.env.LAYOUT_SEED ?? 20260630) },
      )
    },
    RUNS * 200 + 60_000,
  )

  it('is not the same when one value differs', async () => {
    const [records] = fc.sample(caseload, { numRuns: 1, seed: 7 })
    const how: Layout = { ...fc.sample(layout, { numRuns: 1, seed: 7 })[0]!, encoding: 'utf-8' }
    const files = written(records as Parameters<typeof written>[0], how)
    const file = Object.keys(files)[0] as string
    const broken = Buffer.from(
      Buffer.from(files[file] as Uint8Array)
        .toString('utf8')
        .replace(/SM|000|sm|é/, 'XX'),
    )
    const read = await loadBytes({ ...files, [file]: broken }, guideFor(how))
    expect([...csvOf(read.records, 'clients')]).not.toEqual([...csvOf(records as never, 'clients')])
  })
})
