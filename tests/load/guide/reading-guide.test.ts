import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import * as XLSX from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { WORDS_OF_FIELD } from '../../../src/load/guide/choices.ts'
import type { ReadingGuide, TableRules } from '../../../src/load/guide/guide.ts'
import { KINDS } from '../../../src/load/guide/guide.ts'
import { parseGuide } from '../../../src/load/guide/parseGuide.ts'
import { KIND_FIELDS } from '../../../src/load/kindFields.ts'
import { lackingFields } from '../../../src/load/lacking.ts'
import { loadFolder } from '../../../src/load/loadFolder.ts'
import { csvOf, parseDay, type TableName } from '../../../src/records/index.ts'

/** The page's examples: a section with files, a guide and the tables that come out. */
const page = await readFile(new URL('../../../datasets/reading-guide.md', import.meta.url), 'utf8')
const examples = page
  .split(/^## /m)
  .slice(2)
  .map((section) => ({
    title: section.split('\n')[0]!,
    blocks: [...section.matchAll(/^```\w+ (file|result)=(.*)\n([\s\S]*?)^```$/gm)].map(
      ([, kind, name, text]) => ({
        kind,
        name: name!,
        text: text!,
      }),
    ),
  }))

/** Files of an example as they lie in a folder; blocks named `book.xlsx#Sheet` become sheets of typed text. */
async function lay(folder: string, blocks: readonly { name: string; text: string }[]): Promise<void> {
  const books = new Map<string, XLSX.WorkBook>()
  for (const { name, text } of blocks) {
    const [file, sheet] = name.split('#')
    if (sheet === undefined) {
      await writeFile(join(folder, name), text)
      continue
    }
    const book = books.get(file!) ?? XLSX.utils.book_new()
    books.set(file!, book)
    const rows = text
      .trimEnd()
      .split('\n')
      .map((line) => line.split(','))
    XLSX.utils.book_append_sheet(book, XLSX.utils.aoa_to_sheet(rows), sheet)
  }
  for (const [file, book] of books)
    await writeFile(join(folder, file), XLSX.write(book, { type: 'buffer', bookType: 'xlsx' }) as Buffer)
}

describe('datasets/reading-guide.md', () => {
  it('has an example for each shape', () => {
    expect(examples.map(({ title }) => title)).toEqual([
      'A long log',
      'A wide family diary',
      'A column for each day, a column for each rater',
      'Paired left and right columns',
      'One sheet for each client',
      'Headings in two rows, the client above them',
      'Dates in words of another language',
      "An app's log as JSON",
      "An app's log in nested lists",
    ])
  })

  for (const { title, blocks } of examples)
    it(`${title}: gives the tables that the page shows`, async () => {
      const folder = await mkdtemp(join(tmpdir(), 'waneline-'))
      try {
        await lay(
          folder,
          blocks.filter(({ kind }) => kind === 'file'),
        )
        const { records } = await loadFolder(folder, { asOf: parseDay('2026-06-30')! })
        const results = blocks.filter(({ kind }) => kind === 'result')
        expect(results.length).toBeGreaterThan(0)
        for (const { name, text } of results)
          expect([...csvOf(records, name as TableName)].join('')).toBe(text)
        if (!results.some(({ name }) => name === 'problems')) expect(records.problems).toEqual([])
      } finally {
        await rm(folder, { recursive: true })
      }
    })

  it('names every key that a guide may have, and none that it may not', () => {
    const keys = [...page.matchAll(/^\| ((?:`\w+`(?:, )?)+) \|/gm)].flatMap(([, names]) =>
      [...names!.matchAll(/`(\w+)`/g)].map(([, key]) => key!),
    )
    const known: Record<keyof TableRules | keyof ReadingGuide | 'match', true> = {
      match: true,
      files: true,
      holds: true,
      columns: true,
      constants: true,
      name: true,
      dates: true,
      century: true,
      decimal: true,
      units: true,
      scale: true,
      words: true,
      no_value: true,
      cautions_joined_by: true,
      across: true,
      wide: true,
      fill_down: true,
      merged_cells: true,
      heading_row: true,
      identifier_system: true,
      encoding: true,
      delimiter: true,
      date_words: true,
      day_numbers: true,
      above: true,
      entries: true,
    }
    expect(keys.sort()).toEqual(Object.keys(known).sort())
  })

  it('names the fields of each table, those a record must have in bold, and our words for each', () => {
    const items = page.slice(page.indexOf('### The fields')).matchAll(/^- (\w[\w ]*): ((?:.|\n {2})+)/gm)
    const lists = new Map(
      [...items].map(([, name, list]) => [name!, list!.split(/,\s+/).map((word) => word.trim())]),
    )
    for (const kind of KINDS) {
      const named = lists.get(kind)!
      expect(named.map((field) => field.replaceAll('*', '')).sort()).toEqual(
        [...KIND_FIELDS[kind]].filter((field) => field !== 'record_id').sort(),
      )
      const must = named.filter((field) => field.startsWith('**')).map((field) => field.replaceAll('*', ''))
      expect(must.sort()).toEqual(lackingFields(kind, new Map(), [], new Map()).sort())
    }
    for (const [field, words] of Object.entries(WORDS_OF_FIELD))
      expect(lists.get(field === 'target' || field === 'reflex' ? 'reflex and target' : field)).toEqual(words)
  })

  it('shows each key by a snippet that is a valid guide', () => {
    const snippets = [...page.matchAll(/^\| `\w+`.*\| `([^`|]+)` \|$/gm)].map(([, yaml]) => yaml!)
    expect(snippets.length).toBeGreaterThan(15)
    for (const yaml of snippets) {
      const inColumns = yaml.startsWith('Date:') ? `columns: {${yaml}}` : yaml
      const text = yaml.startsWith('match:') ? `files:\n  - ${inColumns}` : inColumns
      expect(() => parseGuide(text, 'guide.yaml'), yaml).not.toThrow()
    }
  })
})
