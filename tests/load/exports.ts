import { existsSync, readFileSync } from 'node:fs'
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { unzipSync } from 'fflate'
import { csvOf, type Records, TABLE_COLUMNS, type TableName } from '../../src/records/index.ts'

/** The nine exports with their truth: the as-of day of each about.md, and whether a guide is needed. */
export const EXPORTS = [
  { name: '01-plain-long', asOf: '2026-06-30', guide: false },
  { name: '02-semicolon-comma', asOf: '2026-05-31', guide: true },
  { name: '03-wide-characters', asOf: '2026-07-15', guide: false },
  { name: '04-workbook', asOf: '2026-06-15', guide: true },
  { name: '05-family-diary', asOf: '2026-06-30', guide: true },
  { name: '06-app-log', asOf: '2026-05-31', guide: true },
  { name: '07-fhir', asOf: '2026-06-30', guide: false },
  { name: '08-overlapping-months', asOf: '2026-05-31', guide: false },
  { name: '09-hostile', asOf: '2026-06-30', guide: true },
] as const

export const guideFile = (name: string): string => join(import.meta.dirname, 'guides', `${name}.yaml`)

/** Runs with an export laid out as folders `raw` and `truth`; gone afterwards. Null where the export is not at hand. */
export async function withExport<T>(name: string, use: (folder: string) => Promise<T>): Promise<T | null> {
  const shared = join(import.meta.dirname, '../../../shared/exports', name)
  if (existsSync(shared)) return use(shared)
  const archive = join(import.meta.dirname, 'data', `${name}.zip`)
  if (!existsSync(archive)) return null
  const folder = await mkdtemp(join(tmpdir(), 'export-'))
  try {
    for (const [file, bytes] of Object.entries(unzipSync(readFileSync(archive)))) {
      await mkdir(dirname(join(folder, file)), { recursive: true })
      await writeFile(join(folder, file), bytes)
    }
    return await use(folder)
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

const NUMBERS: ReadonlySet<string> = new Set([
  'gestation_weeks',
  'score',
  'scale_max',
  'sessions_per_day',
  'reps_per_session',
  'seconds_per_session',
  'intensity',
  'reps',
  'seconds',
  'record',
])

/** Rows that the truth has and the reading has not, and the reverse; rows are multisets, numbers equal by value. */
export function differences(records: Records, truth: string): string[] {
  const groups = surplusGroups(truth)
  return (Object.keys(TABLE_COLUMNS) as TableName[]).flatMap((table) => {
    const want = multiset(table, parseCsv(readFileSync(join(truth, `${table}.csv`), 'utf8')), groups)
    const got = multiset(table, parseCsv([...csvOf(records, table)].join('')), groups)
    const missing = [...want]
      .filter(([row, n]) => n > (got.get(row) ?? 0))
      .map(([row]) => `${table}: missing ${row}`)
    const extra = [...got]
      .filter(([row, n]) => n > (want.get(row) ?? 0))
      .map(([row]) => `${table}: extra ${row}`)
    return [...missing, ...extra]
  })
}

/** Among equal lines that only the count across files tells apart, any may be the surplus. */
function surplusGroups(truth: string): Map<string, string> {
  const file = join(truth, 'equal_records.csv')
  if (!existsSync(file)) return new Map()
  return new Map(
    parseCsv(readFileSync(file, 'utf8'))
      .slice(1)
      .map(([f, r, group]) => [`${f}|${r}`, group as string]),
  )
}

function multiset(table: TableName, rows: string[][], groups: Map<string, string>): Map<string, number> {
  const [head = [], ...body] = rows
  const counts = new Map<string, number>()
  const once = new Set<string>()
  for (const row of body) {
    const cells = row.map((cell, k) => (NUMBERS.has(head[k] as string) ? numberText(cell) : cell))
    let key = JSON.stringify(cells)
    if (table === 'problems') {
      const [file, record, , , rule, outcome] = cells
      const group = rule === 'duplicate_row' ? groups.get(`${file}|${record}`) : undefined
      if (once.has(JSON.stringify([file, record, rule, outcome]))) continue
      once.add(JSON.stringify([file, record, rule, outcome]))
      key = JSON.stringify([file, group ?? record, rule, outcome])
    }
    counts.set(key, (counts.get(key) ?? 0) + 1)
  }
  return counts
}

const numberText = (cell: string): string =>
  cell !== '' && Number.isFinite(Number(cell)) ? String(Number(Number(cell).toFixed(6))) : cell

/** CSV as Python's csv module reads it; independent of the product's own reader. */
export function parseCsv(text: string): string[][] {
  const rows: string[][] = []
  let row: string[] = []
  let cell = ''
  let quoted = false
  const source = text.replace(/^\ufeff/, '')
  for (let i = 0; i < source.length; i++) {
    const c = source[i] as string
    if (quoted) {
      if (c !== '"') cell += c
      else if (source[i + 1] === '"') {
        cell += '"'
        i++
      } else quoted = false
    } else if (c === '"' && cell === '') quoted = true
    else if (c === ',') {
      row.push(cell)
      cell = ''
    } else if (c === '\n' || c === '\r') {
      if (cell !== '' || row.length > 0) rows.push([...row, cell])
      row = []
      cell = ''
    } else cell += c
  }
  if (cell !== '' || row.length > 0) rows.push([...row, cell])
  return rows
}
