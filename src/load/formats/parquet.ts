import * as zlib from 'node:zlib'
import { type FileMetaData, parquetMetadata, parquetRead, parquetSchema } from 'hyparquet'
import { UserError } from '../../errors.ts'
import { formatDay } from '../../records/index.ts'
import type { RawTable } from '../raw.ts'
import { flatten, type JsonValue } from './jsonRecord.ts'
import { MAX_CELLS, MAX_COLUMNS, MAX_UNPACKED_BYTES } from './limits.ts'
import { allBytes, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'

export const isParquet = (head: Uint8Array): boolean =>
  head[0] === 0x50 && head[1] === 0x41 && head[2] === 0x52 && head[3] === 0x31

const inflated =
  (unpack: (bytes: Uint8Array, options: { maxOutputLength: number }) => Uint8Array) =>
  (bytes: Uint8Array, size: number): Uint8Array =>
    unpack(bytes, { maxOutputLength: size + 1 })

/** Ways of packing a column beside none and Snappy, which the library does itself. */
const COMPRESSORS = {
  GZIP: inflated(zlib.gunzipSync),
  BROTLI: inflated(zlib.brotliDecompressSync),
  // Node 20 has no Zstandard; later ones do.
  ...('zstdDecompressSync' in zlib
    ? { ZSTD: inflated(zlib.zstdDecompressSync as (bytes: Uint8Array, options: object) => Uint8Array) }
    : {}),
}

/**
 * Reads a Parquet file, one row group at a time: a record for each row, a heading for each column, nested columns under
 * dotted headings. Dates are `2026-03-14`, times `08:30:00`, moments ISO 8601 (with `Z` where the column says UTC).
 *
 * @throws UserError when it is damaged, packed in a way this Node cannot unpack, or past a limit
 */
export async function readParquet(source: Source): Promise<RawTable[]> {
  const bytes = await allBytes(source)
  const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer
  try {
    const metadata = parquetMetadata(buffer)
    const rows = requireReadable(source.file, metadata)
    const columns = parquetSchema(metadata).children.map(({ element }) => element)
    const table = new TableBuilder(source.file)
    for (let row = 0; row < rows; row++) table.begin()
    for (const element of columns) {
      const text = textFor(element)
      await readColumn(buffer, metadata, element.name, (row, value) => {
        const put = (path: string, inner: string): boolean => table.setAt(row, path, inner)
        if (!flatten(text(value), element.name, put)) table.setRaggedAt(row, `${element.name}: no room`)
      })
    }
    return [table.finish()]
  } catch (cause) {
    if (cause instanceof UserError) throw cause
    const reason = cause instanceof Error ? cause.message : String(cause)
    throw new UserError(
      `${source.file} cannot be read as Parquet (${reason.slice(0, 200)}). Write it anew with Snappy or no compression.`,
      { cause },
    )
  }
}

function requireReadable(file: string, metadata: FileMetaData): number {
  const rows = Number(metadata.num_rows)
  const inGroups = metadata.row_groups.reduce((sum, group) => sum + Number(group.num_rows), 0)
  const chunks = metadata.row_groups.flatMap((group) => group.columns)
  const size = chunks.reduce((sum, { meta_data }) => sum + Number(meta_data?.total_uncompressed_size ?? 0), 0)
  const columns = metadata.schema.length - 1
  if (!(rows >= 0) || rows !== inGroups)
    throw new UserError(`${file} is damaged: it says ${rows} rows, its parts ${inGroups}.`)
  if (columns > MAX_COLUMNS || rows * Math.max(1, columns) > MAX_CELLS || size > MAX_UNPACKED_BYTES)
    throw new UserError(
      `${file} holds ${rows} rows of ${columns} columns (${size} bytes), more than is read. Split it.`,
    )
  return rows
}

async function readColumn(
  file: ArrayBuffer,
  metadata: FileMetaData,
  name: string,
  put: (row: number, value: unknown) => void,
): Promise<void> {
  let rowStart = 0
  for (const group of metadata.row_groups) {
    const rowEnd = rowStart + Number(group.num_rows)
    let seen = 0
    await parquetRead({
      file,
      metadata,
      columns: [name],
      rowStart,
      rowEnd,
      compressors: COMPRESSORS,
      parsers: PARSERS,
      geoparquet: false,
      onChunk: ({ columnData, rowStart: first }) => {
        for (let i = 0; i < columnData.length; i++) put(first + i, columnData[i])
        seen += columnData.length
      },
    })
    if (seen !== rowEnd - rowStart)
      throw new Error(`column ${name} has ${seen} values for ${rowEnd - rowStart} rows`)
    rowStart = rowEnd
  }
}

const moment = (milliseconds: number): string => {
  const text = new Date(milliseconds).toISOString()
  return text.endsWith('.000Z') ? text.slice(0, 19) : text.slice(0, 23)
}

const PARSERS = {
  dateFromDays: (days: number) => formatDay(days),
  timestampFromMilliseconds: (milliseconds: bigint) => moment(Number(milliseconds)),
  timestampFromMicroseconds: (micros: bigint) => moment(Number(micros / 1000n)),
  timestampFromNanoseconds: (nanos: bigint) => moment(Number(nanos / 1000000n)),
}

type Element = FileMetaData['schema'][number]

/** How a column's values become what {@link flatten} takes. */
function textFor(element: Element): (value: unknown) => JsonValue {
  const logical = element.logical_type
  if (logical?.type === 'TIMESTAMP' && logical.isAdjustedToUTC)
    return (value) => (value === null || value === undefined ? null : `${value}Z`)
  if (logical?.type === 'TIME' || element.converted_type?.startsWith('TIME_M')) {
    const perSecond =
      logical?.type === 'TIME' ? { MILLIS: 1e3, MICROS: 1e6, NANOS: 1e9 }[logical.unit] : undefined
    const ticks = perSecond ?? (element.converted_type === 'TIME_MICROS' ? 1e6 : 1e3)
    return (value) => (value === null || value === undefined ? null : clock(Number(value) / ticks))
  }
  if (element.type === 'FLOAT')
    return (value) => (typeof value === 'number' ? shortestFloat(value) : plain(value))
  return plain
}

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
  if (value instanceof Date) return moment(value.getTime())
  if (value instanceof Uint8Array) return Buffer.from(value).toString('utf8')
  if (Array.isArray(value)) return value.map(plain)
  if (typeof value === 'object')
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, plain(inner)]))
  return typeof value === 'number' || typeof value === 'boolean' ? value : String(value)
}
