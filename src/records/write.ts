import { type Column, columnOf } from './column.ts'
import { formatDay } from './day.ts'
import type { ProblemTable } from './problems.ts'
import { type Records, type SessionTable, TABLE_COLUMNS, type TableName } from './tables.ts'

const DATE_COLUMNS: ReadonlySet<string> = new Set([
  'birth_date',
  'enrolled_on',
  'discharged_on',
  'assessed_on',
  'starts_on',
  'ends_on',
  'done_on',
])
const PIECE_LENGTH = 1 << 16

/** A value of a cell, before it is text. */
type Cell = string | number | null | readonly string[]

/**
 * One table as CSV, in pieces: exactly the columns of the contract, UTF-8, LF, ISO dates, `.` as decimal mark, empty
 * for "not known". Rows sort by their columns from left to right: empty first, numbers by value, text by code point.
 */
export function csvOf(records: Records, table: TableName): Iterable<string> {
  const columns = TABLE_COLUMNS[table]
  if (table === 'sessions') return pieces(columns, sessionLines(records.sessions))
  if (table === 'problems' && records.problemTable !== undefined)
    return pieces(columns, problemLines(records.problemTable))
  return pieces(columns, rowLines(records[table] as readonly object[], columns))
}

function* pieces(columns: readonly string[], lines: Iterable<string>): Generator<string> {
  let piece = `${columns.join(',')}\n`
  for (const line of lines) {
    piece += line
    if (piece.length < PIECE_LENGTH) continue
    yield piece
    piece = ''
  }
  if (piece !== '') yield piece
}

/** Rows that are objects, by way of columns: a few bytes a cell, where an array of cells for each row would take hundreds. */
function* rowLines(rows: readonly object[], names: readonly string[]): Generator<string> {
  const columns = names.map((name) => {
    const cells = rows.map((row) => plain((row as Record<string, Cell>)[name] ?? null))
    return preparedColumn(columnOf(cells), name)
  })
  for (const row of sortedRows(rows.length, columns, () => 0)) yield `${columns.map(textAt(row)).join(',')}\n`
}

const textAt =
  (row: number) =>
  ({ codes, texts }: PreparedColumn): string =>
    texts[codes[row] as number] as string

function* problemLines(table: ProblemTable): Generator<string> {
  const { length, record } = table
  const column = (name: 'file' | 'field' | 'value' | 'rule' | 'outcome'): PreparedColumn =>
    preparedColumn(narrowed(table[name], length), name)
  const [file, ...rest] = [
    column('file'),
    column('field'),
    column('value'),
    column('rule'),
    column('outcome'),
  ]
  // A record's number is its own rank, and no text of it is kept.
  let last = 0
  for (const number of record) last = Math.max(last, number)
  const numbers: PreparedColumn = {
    codes: record,
    texts: [],
    ranks: new Int32Array(last + 1).map((_, k) => k),
  }
  for (const row of sortedRows(length, [file as PreparedColumn, numbers, ...rest], () => 0))
    yield `${textAt(row)(file as PreparedColumn)},${record[row]},${rest.map(textAt(row)).join(',')}\n`
}

/** The column with no more values than it has: columns may share a list of texts. */
function narrowed<T>({ codes, values }: Column<T>, length: number): Column<T> {
  const newCodes = new Int32Array(values.length).fill(-1)
  const own: T[] = []
  const narrow = new Int32Array(length)
  for (let i = 0; i < length; i++) {
    const code = codes[i] as number
    if (newCodes[code] === -1) newCodes[code] = own.push(values[code] as T) - 1
    narrow[i] = newCodes[code] as number
  }
  return { codes: narrow, values: own }
}

const plain = (cell: Cell): string | number | null =>
  typeof cell === 'object' && cell !== null ? cell.join(';') : cell

/** Empty first, numbers by value, text by code point. */
function compareValues(a: string | number | null, b: string | number | null): number {
  if (a === b) return 0
  if (a === null || a === '') return b === null || b === '' ? 0 : -1
  if (b === null || b === '') return 1
  return typeof a === 'number' && typeof b === 'number' ? a - b : compareCodePoints(String(a), String(b))
}

/** Order by code point; `<` on strings is by UTF-16 unit, which puts emoji before some letters. */
export function compareCodePoints(a: string, b: string): number {
  const length = Math.min(a.length, b.length)
  for (let i = 0; i < length; i++) {
    const x = a.charCodeAt(i)
    const y = b.charCodeAt(i)
    if (x !== y) return unitRank(x) - unitRank(y)
  }
  return a.length - b.length
}

/** Surrogates stand for code points above every other unit. */
const unitRank = (unit: number): number => (unit >= 0xd800 && unit <= 0xdfff ? unit + 0x10000 : unit)

function cellText(cell: Cell, column: string): string {
  const value = plain(cell)
  if (value === null) return ''
  if (typeof value === 'number') return DATE_COLUMNS.has(column) ? formatDay(value) : numberText(value)
  return quoted(value)
}

/** A number without an exponent: `String` writes 1e-7. */
function numberText(value: number): string {
  const text = String(value)
  if (!text.includes('e')) return text
  return Math.abs(value) < 1 ? value.toFixed(20).replace(/\.?0+$/, '') : BigInt(value).toString()
}

const quoted = (text: string): string => (/[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)

const SESSION_COLUMNS = TABLE_COLUMNS.sessions.filter((column) => column !== 'note')

function* sessionLines(table: SessionTable): Generator<string> {
  const columns = SESSION_COLUMNS.map((name) =>
    preparedColumn(table[name] as Column<string | number | null>, name),
  )
  const byNote = (a: number, b: number): number => compareValues(table.note(a), table.note(b))
  for (const row of sortedRows(table.length, columns, byNote)) {
    let line = ''
    for (const { codes, texts } of columns) line += `${texts[codes[row] as number]},`
    const note = table.note(row)
    yield `${line}${note === null ? '' : quoted(note)}\n`
  }
}

interface PreparedColumn {
  readonly codes: Column<unknown>['codes']
  /** Each value as it is written. */
  readonly texts: readonly string[]
  /** Place of each value in the sorting order; equal values share it. */
  readonly ranks: Int32Array
}

function preparedColumn({ codes, values }: Column<string | number | null>, name: string): PreparedColumn {
  const order = [...values.keys()].sort((a, b) => compareValues(values[a] ?? null, values[b] ?? null))
  const ranks = new Int32Array(values.length)
  let rank = -1
  order.forEach((code, k) => {
    const before = k === 0 ? undefined : values[order[k - 1] as number]
    if (k === 0 || compareValues(values[code] ?? null, before ?? null) !== 0) rank++
    ranks[code] = rank
  })
  return { codes, ranks, texts: values.map((value) => cellText(value ?? null, name)) }
}

/**
 * Row numbers in sorting order: by the first two columns (whose, and which day) in two counting passes, then by the rest within
 * each, and at last by `tie`.
 */
function sortedRows(
  length: number,
  columns: readonly PreparedColumn[],
  tie: (a: number, b: number) => number,
): Uint32Array {
  const [client, day, ...rest] = columns
  let rows = Uint32Array.from({ length }, (_, row) => row)
  for (const column of [day, client]) rows = countingSort(rows, column as PreparedColumn)
  const compare = (a: number, b: number): number => {
    for (const { codes, ranks } of rest) {
      const order = (ranks[codes[a] as number] as number) - (ranks[codes[b] as number] as number)
      if (order !== 0) return order
    }
    return tie(a, b)
  }
  const same = (a: number, b: number): boolean =>
    [client, day].every(
      (column) => column?.ranks[column.codes[a] as number] === column?.ranks[column.codes[b] as number],
    )
  for (let from = 0; from < rows.length; ) {
    let to = from + 1
    while (to < rows.length && same(rows[from] as number, rows[to] as number)) to++
    if (to - from > 1) rows.subarray(from, to).sort(compare)
    from = to
  }
  return rows
}

function countingSort(rows: Uint32Array, { codes, ranks }: PreparedColumn): Uint32Array<ArrayBuffer> {
  const starts = new Uint32Array(ranks.length + 1)
  for (const row of rows) {
    const rank = ranks[codes[row] as number] as number
    starts[rank + 1] = (starts[rank + 1] as number) + 1
  }
  for (let k = 1; k < starts.length; k++) starts[k] = (starts[k] as number) + (starts[k - 1] as number)
  const sorted = new Uint32Array(rows.length)
  for (const row of rows) {
    const rank = ranks[codes[row] as number] as number
    const at = starts[rank] as number
    starts[rank] = at + 1
    sorted[at] = row
  }
  return sorted
}
