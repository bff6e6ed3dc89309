import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { loadFolder } from '../../src/load/index.ts'
import { parseDay } from '../../src/records/index.ts'
import { hierarchies, makeRelease, parseHierarchies, unusedWords } from '../../src/release/index.ts'
import { rowsOf } from './caseload.ts'

const DATASETS = join(import.meta.dirname, '../../datasets')
const page = readFileSync(join(DATASETS, 'release-hierarchies.md'), 'utf8')
const sample = readFileSync(join(DATASETS, 'release-hierarchies.yaml'), 'utf8')

const cellsOf = (table: string): string[][] =>
  table
    .trim()
    .split('\n')
    .map((line) =>
      line
        .split('|')
        .slice(1, -1)
        .map((c) => c.trim()),
    )

/** Each YAML block of the page with the table of steps under it. */
const examples = [...page.matchAll(/```yaml\n([\s\S]*?)```\n\n((?:\|.*\n)+)/g)].map((m) => ({
  yaml: m[1]!,
  column: m[2]!.slice(2, m[2]!.indexOf(':')),
  rows: cellsOf(m[2]!).slice(2),
}))

describe('datasets/release-hierarchies.md', () => {
  it('has a worked example for every column that is coarsened', () => {
    expect([...new Set(examples.map((e) => e.column))].sort()).toEqual(
      hierarchies()
        .map((h) => h.column)
        .sort(),
    )
  })

  it.each(examples)('$column: each value takes the steps that its table shows', ({ yaml, column, rows }) => {
    const { levels } = hierarchies(parseHierarchies(yaml, 'page.yaml')).find((h) => h.column === column)!
    for (const row of rows) expect(levels.map(({ of }) => of(row[0]!))).toEqual(row)
  })

  it('shows the sample file key by key', () => {
    const shown = Object.assign({}, ...examples.map((e) => parse(e.yaml)))
    expect(parse(sample)).toEqual(shown)
  })

  it('shows the messages as they are', () => {
    const messages = cellsOf(/\| in the file \|[\s\S]*?\n\n/.exec(page)![0]).slice(2)
    expect(messages.length).toBeGreaterThanOrEqual(5)
    for (const [yaml, message] of messages) {
      const text = yaml!.slice(1, -1)
      let said = ''
      try {
        parseHierarchies(text, 'ours.yaml')
      } catch (error) {
        said = (error as Error).message
      }
      expect(said.startsWith(message!.slice(1, -1)), `${text}: ${said}`).toBe(true)
    }
  })

  it('shows what the sample file makes of the demo clinic', async () => {
    const { records, asOf } = await loadFolder(join(DATASETS, 'saltmarsh'), { asOf: parseDay('2026-06-30')! })
    const settings = parseHierarchies(sample, 'release-hierarchies.yaml')
    expect(unusedWords(settings, records.clients)).toEqual([])
    const made = makeRelease(records, { asOf, secret: new Uint8Array(32), hierarchies: settings })
    const counted = new Map<string, number>()
    for (const [, ...cells] of rowsOf(made, 'people.csv')) {
      const key = cells.slice(0, 4).join('|')
      counted.set(key, (counted.get(key) ?? 0) + 1)
    }
    const shown = cellsOf(/\| people released \|[\s\S]*?\n\n/.exec(page)![0]).slice(2)
    expect(new Map(shown.map(([n, ...cells]) => [cells.join('|'), Number(n)]))).toEqual(counted)
    expect(made.risk.people).toMatchObject({ consenting: 40, suppressed: 1 })
  })
})
