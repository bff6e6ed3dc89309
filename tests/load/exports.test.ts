import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { loadFolder } from '../../src/load/index.ts'
import { parseDay } from '../../src/records/index.ts'
import { differences, EXPORTS, guideFile, parseCsv, withExport } from './exports.ts'

// The truth of each export was written by whoever invented the exports, apart from this program.
describe('raw exports with their truth', () => {
  for (const { name, asOf, guide } of EXPORTS)
    it(`reads ${name} as its truth says`, async () => {
      const checked = await withExport(name, async (folder) => {
        const loaded = await loadFolder(join(folder, 'raw'), {
          asOf: parseDay(asOf) as number,
          guide: guide ? guideFile(name) : undefined,
        })
        expect(differences(loaded.records, join(folder, 'truth'))).toEqual([])
        const counts = parseCsv(readFileSync(join(folder, 'truth', 'counts.csv'), 'utf8')).slice(1)
        expect(loaded.ledger.map((e) => [e.file, e.records, e.kept, e.rejected].join()).sort()).toEqual(
          counts.map((row) => row.join()).sort(),
        )
        return true
      })
      // The largest export is not kept with the tests; it is checked wherever it lies beside them.
      if (name !== '01-plain-long') expect(checked).toBe(true)
    })

  it('tells a row that is missing, changed or too many', async () => {
    await withExport('05-family-diary', async (folder) => {
      const { records } = await loadFolder(join(folder, 'raw'), {
        asOf: parseDay('2026-06-30') as number,
        guide: guideFile('05-family-diary'),
      })
      const [first, ...rest] = records.clients
      const broken = { ...records, clients: [...rest, { ...first!, client_id: 'SM-none' }] }
      expect(differences(broken, join(folder, 'truth'))).toHaveLength(2)
    })
  })
})
