import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { loadFolder } from '../../src/load/index.ts'
import { parseDay } from '../../src/records/index.ts'
import { differences, parseCsv } from './exports.ts'

const FOLDERS = join(import.meta.dirname, 'data', 'invented')

// Folders of other shapes than the nine exports. Each truth was written by hand
// from about.md, the raw files and the rules for the five tables.
describe('invented exports with their truth', () => {
  for (const name of readdirSync(FOLDERS))
    it(`reads ${name} as its truth says`, async () => {
      const folder = join(FOLDERS, name)
      const asOf = /As-of day: (\d{4}-\d\d-\d\d)/.exec(readFileSync(join(folder, 'about.md'), 'utf8'))?.[1]
      const guide = join(folder, 'guide.yaml')
      const loaded = await loadFolder(join(folder, 'raw'), {
        asOf: parseDay(asOf as string) as number,
        ...(existsSync(guide) ? { guide } : {}),
      })
      expect(differences(loaded.records, join(folder, 'truth'))).toEqual([])
      const counts = parseCsv(readFileSync(join(folder, 'truth', 'counts.csv'), 'utf8')).slice(1)
      expect(loaded.ledger.map((e) => [e.file, e.records, e.kept, e.rejected].join()).sort()).toEqual(
        counts.map((row) => row.join()).sort(),
      )
    })
})
