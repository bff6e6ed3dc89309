import { UserError } from '../../errors.ts'
import type { RawTable } from '../raw.ts'
import { flatten, type JsonValue } from './jsonRecord.ts'
import { MAX_CELLS, MAX_COLUMNS, MAX_UNPACKED_BYTES } from './limits.ts'
import {
  PARQUET_PATIENCE,
  type ParquetDescription,
  type ParquetElement,
  ParquetLibrary,
} from './parquetLibrary.ts'
import { allBytes, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'

export const isParquet = (head: Uint8Array): boolean =>
  head[0] === 0x50 && head[1] === 0x41 && head[2] === 0x52 && head[3] === 0x31

/**
 * Reads a Parquet file, one row group at a time: a record for each row, a heading for each column, nested columns under
 * dotted headings. Dates are `2026-03-14`, times `08:30:00`, moments ISO 8601 (with `Z` where the column says UTC).
 *
 * @throws UserError when it is damaged, packed in a way this Node cannot unpack, or past a limit
 */
export async function readParquet(
  source: Source,
  options: { /** Milliseconds; see {@link PARQUET_PATIENCE}. */ readonly patience?: number } = {},
): Promise<RawTable[]> {
  const bytes = await allBytes(source)
  const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer
  const library = new ParquetLibrary(buffer, options.patience ?? PARQUET_PATIENCE)
  try {
    const described = await library.describe()
    requireReadable(source.file, described)
    const table = new TableBuilder(source.file)
    for (let row = 0; row < described.rows; row++) table.begin()
    for (const element of described.columns) await takeColumn(library, described, element, table)
    return [table.finish()]
  } catch (cause) {
    if (cause instanceof UserError) throw cause
    const reason = cause instanceof Error ? cause.message : String(cause)
    throw new UserError(
      `${source.file} cannot be read as Parquet (${reason.slice(0, 200)}). Write it anew, with Snappy or no compression.`,
      { cause },
    )
  } finally {
    await library.close()
  }
}

function requireReadable(file: string, { rows, groups, leaves, unpackedBytes }: ParquetDescription): void {
  const inGroups = groups.reduce((sum, count) => sum + count, 0)
  if (!(rows >= 0) || rows !== inGroups || groups.some((count) => count < 0))
    throw new UserError(`${file} is damaged: it says ${rows} rows, its parts ${inGroups}. Write it anew.`)
  if (leaves > MAX_COLUMNS || rows * Math.max(1, leaves) > MAX_CELLS || unpackedBytes > MAX_UNPACKED_BYTES)
    throw new UserError(
      `${file} holds ${rows} rows of ${leaves} columns (${unpackedBytes} bytes), more than is read. Split it.`,
    )
}

async function takeColumn(
  library: ParquetLibrary,
  { groups }: ParquetDescription,
  element: ParquetElement,
  table: TableBuilder,
): Promise<void> {
  const valueOfCell = valueReader(element)
  let rowStart = 0
  for (const count of groups) {
    const values = await library.column(element.name, rowStart, rowStart + count)
    for (let i = 0; i < count; i++) {
      const row = rowStart + i
      const put = (path: string, text: string): boolean => table.setAt(row, path, text)
      if (!flatten(valueOfCell(values[i]), element.name, put))
        table.setRaggedAt(row, `${element.name} has no room`)
    }
    rowStart += count
  }
}

/** How a column's values become what {@link flatten} takes. */
function valueReader(element: ParquetElement): (value: unknown) => JsonValue {
  const logical = element.logical_type
  const present = (read: (value: unknown) => string) => (value: unknown) =>
    value === null || value === undefined ? null : read(value)
  if (logical?.type === 'TIMESTAMP' && logical.isAdjustedToUTC) return present((value) => `${value}Z`)
  if (logical?.type === 'TIME' || element.converted_type?.startsWith('TIME_M')) {
    const perSecond = logical?.type === 'TIME' ? TICKS[logical.unit] : undefined
    const ticks = perSecond ?? (element.converted_type === 'TIME_MICROS' ? 1e6 : 1e3)
    return present((value) => clock(Number(value) / ticks))
  }
  if (element.type === 'FLOAT')
    return (value) => (typeof value === 'number' ? shortestFloat(value) : plain(value))
  return plain
}

const TICKS = { MILLIS: 1e3, MICROS: 1e6, NANOS: 1e9 }

function clock(seconds: number): string {
  const parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, Math.floor(seconds % 60)]
  return parts.map((part) => String(part).padStart(2, '0')).join(':')
}

/** The shortest number that is the same 32-bit float: 0.1 and not 0.10000000149. */
function shortestFloat(value: number): string {
  for (let digits = 6; digits < 9; digits++) {
    const shorter = Number(value.toPrecision(digits))
    if (Math.fround(shorter) === value) return String(shorter)
  }
  return String(value)
}

function plain(value: unknown): JsonValue {
  if (value === null || value === undefined) return null
  if (typeof value === 'bigint') return String(value)
  if (value instanceof Uint8Array) return Buffer.from(value).toString('utf8')
  if (Array.isArray(value)) return value.map(plain)
  if (typeof value === 'object')
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, plain(inner)]))
  return typeof value === 'number' || typeof value === 'boolean' ? value : String(value)
}
