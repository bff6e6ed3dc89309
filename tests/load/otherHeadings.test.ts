import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { recogniseHeading } from '../../src/load/headings/recognise.ts'
import { HEADING_WORDS, type Meaning } from '../../src/load/headings/words.ts'
import { loadFolder } from '../../src/load/index.ts'
import { parseDay } from '../../src/records/index.ts'
import { differences, EXPORTS, withExport } from './exports.ts'
import { withFolder } from './folder.ts'

/** The text with each everyday heading of its first line said in other words of the same meaning. */
function inOtherWords(text: string, pick: (choices: readonly string[]) => string): string {
  const end = text.search(/\r?\n/)
  const [, mark, line] = /^(\ufeff?)(.*)$/.exec(text.slice(0, end))!
  const delimiter = line!.includes('\t') ? '\t' : ','
  const others = line!.split(delimiter).map((heading) => {
    const found = recogniseHeading(heading)
    if (found === null || !(found.meaning in HEADING_WORDS)) return heading
    return pick(HEADING_WORDS[found.meaning as Meaning])
  })
  return `${mark}${others.join(delimiter)}${text.slice(end)}`
}

// The truth of these exports was written by whoever invented them; only the words above the columns are changed.
describe('an export that needs no guide gives the same records', () => {
  for (const { name, asOf } of EXPORTS.filter(({ name }) => /^0[378]/.test(name)))
    it(`under whatever everyday headings: ${name}`, async () => {
      await withExport(name, (folder) =>
        fc.assert(
          fc.asyncProperty(fc.infiniteStream(fc.nat()), async (numbers) => {
            const pick = (choices: readonly string[]): string =>
              choices[(numbers.next().value as number) % choices.length]!
            const files: Record<string, Uint8Array> = {}
            for (const file of readdirSync(join(folder, 'raw'))) {
              const bytes = readFileSync(join(folder, 'raw', file))
              const encoding = bytes[0] === 0xff ? 'utf16le' : 'utf8'
              files[file] = /\.(?:csv|txt)$/.test(file)
                ? Buffer.from(inOtherWords(bytes.toString(encoding), pick), encoding)
                : bytes
            }
            await withFolder(files, async (other) => {
              const { records } = await loadFolder(other, { asOf: parseDay(asOf)! })
              expect(differences(records, join(folder, 'truth'))).toEqual([])
            })
          }),
          { numRuns: 4 },
        ),
      )
    })
})
