import * as zlib from 'node:zlib'
import * as XLSX from '@e965/xlsx'
import { unzipSync, zipSync } from 'fflate'
import { parquetWriteBuffer } from 'hyparquet-writer'
import { UserError } from '../../../src/errors.ts'
import { accountFor } from '../../../src/load/account.ts'
import { readDelimited } from '../../../src/load/formats/delimited.ts'
import { tieReferences } from '../../../src/load/formats/fhirReferences.ts'
import { readParquet } from '../../../src/load/formats/parquet.ts'
import { readTables } from '../../../src/load/formats/readTables.ts'
import { memorySource } from '../../../src/load/formats/source.ts'
import type { ReadingGuide } from '../../../src/load/guide/guide.ts'
import { guideContext } from '../../../src/load/guide/rules.ts'
import type { RawTable } from '../../../src/load/raw.ts'
import { mangled, numbers } from '../randomDamage.ts'
import { cellOf } from './support.ts'

const AS_OF = 20634 // 2026-06-30

const HEADINGS = ['Client ID', 'Date', 'Target', 'Side', 'Stimulus', 'Reps', 'Seconds', 'Note']
const SESSIONS = Array.from({ length: 12 }, (_, i) => [
  `SM-${i % 3}`,
  `2026-04-${String(i + 1).padStart(2, '0')}`,
  ['Moro', 'Galant', 'Rooting'][i % 3]!,
  ['midline', 'left', 'both'][i % 3]!,
  'touch',
  i,
  i * 10,
  i % 4 === 0 ? 'after the "bath", é' : '',
])

const csv = [HEADINGS, ...SESSIONS]
  .map((row) => row.map((c) => `"${String(c).replaceAll('"', '""')}"`).join())
  .join('\n')
const objects = SESSIONS.map((row) => Object.fromEntries(HEADINGS.map((heading, i) => [heading, row[i]])))
const resources = [
  ...[0, 1].map((i) => ({
    resourceType: 'Patient',
    id: `p${i}`,
    identifier: [{ value: `SM-${i}` }],
    gender: 'male',
  })),
  ...Array.from({ length: 8 }, (_, i) => ({
    resourceType: 'Observation',
    status: 'final',
    subject: { reference: `Patient/p${i % 2}` },
    effectiveDateTime: `2026-03-0${i + 1}T10:00:00Z`,
    code: { text: i % 4 === 3 ? 'Body weight' : 'Babkin' },
    component: [
      { code: { text: 'Left' }, valueInteger: i % 4 },
      { code: { text: 'Right' }, valueInteger: 1 },
    ],
  })),
  { resourceType: 'Practitioner', id: 'x' },
]

function book(): Uint8Array {
  const made = XLSX.utils.book_new()
  const sheet = XLSX.utils.aoa_to_sheet([['Home log'], [], HEADINGS, ...SESSIONS])
  for (let r = 3; r < 8; r++) sheet[`B${r + 1}`] = { t: 'n', v: 46100 + r, z: 'dd/mm/yyyy' }
  sheet['!merges'] = [{ s: { r: 4, c: 0 }, e: { r: 6, c: 0 } }]
  XLSX.utils.book_append_sheet(made, sheet, 'Log')
  XLSX.utils.book_append_sheet(
    made,
    XLSX.utils.aoa_to_sheet([
      ['Client ID', 'Sex'],
      ['SM-0', 'f'],
    ]),
    'Old',
  )
  return new Uint8Array(XLSX.write(made, { type: 'buffer', bookType: 'xlsx', bookSST: true }) as Buffer)
}

/** Whole files, with how many records each holds. */
export const WHOLE: Readonly<Record<string, { readonly bytes: Uint8Array; readonly records: number }>> = {
  'log.csv.gz': { bytes: zlib.gzipSync(csv), records: 12 },
  'log.zip': {
    bytes: zipSync({ 'a.csv': Buffer.from(csv), 'b/list.json': Buffer.from(JSON.stringify(objects)) }),
    records: 24,
  },
  'list.json': { bytes: Buffer.from(JSON.stringify(objects, null, 1)), records: 12 },
  'framed.json': {
    bytes: Buffer.from(JSON.stringify({ site: 'Heron', of: { items: objects } })),
    records: 12,
  },
  'lines.ndjson': { bytes: Buffer.from(objects.map((o) => JSON.stringify(o)).join('\n')), records: 12 },
  'fhir.ndjson': { bytes: Buffer.from(resources.map((r) => JSON.stringify(r)).join('\n')), records: 10 },
  'bundle.json': {
    bytes: Buffer.from(
      JSON.stringify({ resourceType: 'Bundle', entry: resources.map((resource) => ({ resource })) }),
    ),
    records: 10,
  },
  'book.xlsx': { bytes: book(), records: 13 },
  'inside.xlsx': { bytes: book(), records: 13 },
  'log.parquet': {
    bytes: new Uint8Array(
      parquetWriteBuffer({
        columnData: HEADINGS.map((name, i) => ({ name, data: SESSIONS.map((row) => row[i]) })),
      }),
    ),
    records: 12,
  },
}

const BITS = [
  '"',
  ',',
  '\n',
  '\0',
  '\ufeff',
  '{',
  '}',
  '[',
  ']',
  '\\',
  ':',
  '<',
  '>',
  '</row>',
  '&amp;',
  '999999999',
  '-',
  '"a":1,',
]

const MOST_PLACES = 3

/** One of the files damaged; `inside.xlsx` has a part damaged under sums that are right, as a faulty program writes it. */
function damaged(seed: number): { readonly file: string; readonly bytes: Uint8Array } {
  const next = numbers(seed)
  const file = Object.keys(WHOLE)[next(Object.keys(WHOLE).length)]!
  const { bytes } = WHOLE[file]!
  if (file !== 'inside.xlsx') return { file, bytes: mangled(bytes, next, BITS, MOST_PLACES) }
  const parts = unzipSync(bytes)
  const names = Object.keys(parts).filter((name) => name.startsWith('xl/') || name.startsWith('[C'))
  const name = names[next(names.length)]!
  return {
    file,
    bytes: zipSync({ ...parts, [name]: mangled(parts[name]!, next, BITS, MOST_PLACES) }, { level: 0 }),
  }
}

/** Patience with the Parquet library: a fuzz run meets many footers that send it round for ever. */
const PARQUET_PATIENCE = 300

export async function tablesOf(
  file: string,
  bytes: Uint8Array,
  guide: ReadingGuide = {},
  patience = PARQUET_PATIENCE,
): Promise<RawTable[]> {
  const source = memorySource(file, bytes)
  if (file.endsWith('.parquet') && bytes[0] === 0x50 && bytes[1] === 0x41)
    return readParquet(source, { patience })
  return tieReferences(await readTables(source, guideContext(guide), readDelimited))
}

/**
 * Reads a damaged file down to the five tables.
 * @throws Error, never a UserError, where anything is not as it must be
 */
export async function survives(seed: number): Promise<'read' | 'refused'> {
  const { file, bytes } = damaged(seed)
  try {
    const tables = await tablesOf(file, bytes)
    for (const table of tables) requireSound(table)
    if (file.endsWith('.ndjson')) requireEveryLine(tables, bytes)
    const { ledger } = accountFor(tables, guideContext({}), AS_OF)
    for (const { records, kept, rejected } of ledger)
      if (records !== kept + rejected) throw new Error('the accounts do not add up')
    return 'read'
  } catch (error) {
    if (error instanceof UserError) return 'refused'
    throw new Error(`seed ${seed}, ${file}: ${error instanceof Error ? error.stack : String(error)}`, {
      cause: error,
    })
  }
}

/** What RawTable promises, by every cell. */
function requireSound(table: RawTable): void {
  const { length, columns, headings, ragged, recordOf, lineOf } = table
  if (columns.length !== headings.length) throw new Error('columns and headings differ')
  if (recordOf !== undefined && recordOf.length !== length)
    throw new Error('recordOf is not as long as the table')
  for (let row = 0; row < length; row++) {
    if (recordOf !== undefined && row > 0 && recordOf[row]! < recordOf[row - 1]!)
      throw new Error('records out of order')
    if (lineOf !== null && !(lineOf(row) >= 1)) throw new Error('a record without a line')
    for (let c = 0; c < columns.length; c++) {
      const text = cellOf(table, row, c)
      if (typeof text !== 'string') throw new Error(`no text at ${row}, ${headings[c]}`)
      if (ragged.has(row) && text !== '') throw new Error('a ragged record has a cell')
    }
  }
  for (const [row, text] of ragged)
    if (row < 0 || row >= length || text.length > 200) throw new Error('a ragged record out of place')
}

/** Lines of the file that are not blank: each is a record, or one of the resources the remarks count as unused. */
function requireEveryLine(tables: readonly RawTable[], bytes: Uint8Array): void {
  const lines = Buffer.from(bytes)
    .toString('latin1')
    .split('\n')
    .filter((line) => line.replace(/\u00ef\u00bb\u00bf|[ \t\r\v\f]/g, '') !== '').length
  const records = new Set(
    tables.flatMap(({ length, recordOf }) => Array.from({ length }, (_, row) => recordOf?.[row] ?? row)),
  )
  const unused = tables
    .flatMap(({ remarks }) => remarks)
    .filter((remark) => remark.startsWith('Not used'))
    .flatMap((remark) => [...remark.matchAll(/(\d+) \S+(?: entered in error)?/g)])
    .reduce((sum, [, count]) => sum + Number(count), 0)
  if (records.size + unused !== lines)
    throw new Error(`${records.size} records and ${unused} unused of ${lines} lines`)
}
