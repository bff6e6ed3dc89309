import type { Delimiter, TableRules } from '../../guide/guide.ts'
import { findHeadingRow, type HeadingRow } from '../../headings/find.ts'
import { MAX_COLUMNS } from '../limits.ts'
import { decodeText, decodeWindows1252 } from '../text.ts'
import { BLANK, MORE, RAGGED, RecordScanner, undoubled } from './scanner.ts'

/** Records looked at for headings and for the delimiter. */
const SAMPLE_RECORDS = 60

const DELIMITERS: Readonly<Record<Delimiter, number>> = { comma: 44, semicolon: 59, tab: 9, pipe: 124 }

/** How a delimited file is laid out, as far as its beginning proves. */
export interface Layout {
  readonly delimiter: number
  readonly headings: readonly string[]
  /** Records (blank ones not counted) that stand above the headings. */
  readonly titleRecords: readonly string[]
  /** The cells of those records. */
  readonly titleCells: readonly (readonly string[])[]
  /** The physical line of the headings; 0 where the file has none. */
  readonly headingLine: number
}

/** @param head the file's beginning as UTF-8 (or Windows-1252); `whole` says that it is all of the file */
export function sniffLayout(
  head: Uint8Array,
  whole: boolean,
  rules: TableRules,
  recordBytes: number,
): Layout {
  const wanted = rules.delimiter === undefined ? Object.keys(DELIMITERS) : [rules.delimiter]
  let best: (Layout & { readonly known: number; readonly regular: number }) | null = null
  for (const name of wanted as Delimiter[]) {
    const sample = sampleRecords(head, whole, DELIMITERS[name], rules, recordBytes)
    const found = headingRow(sample, rules)
    const row = sample[found.row]
    if (row === undefined) continue
    const candidate = {
      delimiter: DELIMITERS[name],
      headings: found.joined ?? row.cells,
      headingLine: row.line,
      titleRecords: sample.slice(0, found.row).map((r) => r.cells.filter((c) => c !== '').join(' ')),
      titleCells: sample.slice(0, found.row).map((r) => r.cells),
      known: found.known,
      regular: row.cells.length > 1 ? sharedWidth(sample, found.row) : 0,
    }
    if (
      best === null ||
      candidate.known > best.known ||
      (candidate.known === best.known && candidate.regular > best.regular)
    )
      best = candidate
  }
  return (
    best ?? { delimiter: DELIMITERS.comma, headings: [], titleRecords: [], titleCells: [], headingLine: 0 }
  )
}

interface SampleRecord {
  readonly cells: readonly string[]
  readonly line: number
}

function headingRow(sample: readonly SampleRecord[], rules: TableRules): HeadingRow {
  const rows = sample.map((r) => r.cells)
  if (rules.heading_row !== undefined) {
    const only = sample.findIndex((r) => r.line === rules.heading_row)
    return { ...findHeadingRow(rows, rules, { only }), row: only, known: 0 }
  }
  const found = findHeadingRow(rows, rules)
  // A first record whose quoting is broken has no cells and is no row of headings.
  return found.known > 0 ? found : { row: sample.findIndex((r) => r.cells.length > 0), known: 0 }
}

function sampleRecords(
  head: Uint8Array,
  whole: boolean,
  delimiter: number,
  rules: TableRules,
  recordBytes: number,
): SampleRecord[] {
  const bytes = new Uint8Array(head.length + 1)
  bytes.set(head)
  bytes[head.length] = 10
  const scanner = new RecordScanner(delimiter, MAX_COLUMNS + 1, recordBytes)
  const records: SampleRecord[] = []
  const most = Math.max(SAMPLE_RECORDS, (rules.heading_row ?? 0) + 1)
  while (records.length < most) {
    const met = scanner.next(bytes, head.length, whole)
    if (met === MORE) break
    if (met === BLANK) continue
    records.push({ line: scanner.line, cells: met === RAGGED ? [] : cellsOf(scanner, bytes, rules) })
  }
  return records
}

/** The cells of the record at hand as text. */
function cellsOf(scanner: RecordScanner, bytes: Uint8Array, rules: TableRules): string[] {
  const cells: string[] = []
  for (let k = 0; k < Math.min(scanner.count, scanner.starts.length); k++) {
    let cell = bytes.subarray(scanner.starts[k], scanner.ends[k])
    if (scanner.doubled[k]) {
      const plain = new Uint8Array(cell.length)
      cell = plain.subarray(0, undoubled(cell, 0, cell.length, plain))
    }
    cells.push(rules.encoding === 'windows-1252' ? decodeWindows1252(cell) : decodeText(cell).text)
  }
  return cells
}

/** Share of the records from the heading row on that are as wide as it is, times its width. */
function sharedWidth(sample: readonly SampleRecord[], from: number): number {
  const width = sample[from]?.cells.length ?? 0
  const rows = sample.slice(from)
  return (rows.filter((r) => r.cells.length === width).length / rows.length) * Math.min(width, 100)
}
