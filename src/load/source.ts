import type { TableRules } from './guide/guide.ts'
import type { RawTable } from './raw.ts'

/** One file, or one member of an archive, as bytes in order. */
export interface Source {
  /** Path under the folder that was read, with `/`; a zip member is `a.zip/b.csv`; what is inside `a.csv.gz` keeps that name. */
  readonly file: string
  /** Size in bytes where it is known beforehand. */
  readonly size: number | null
  /** The bytes from the start, in pieces of any size. May be called once. */
  bytes(): AsyncIterable<Uint8Array> | Iterable<Uint8Array>
}

/** What every format reader is told. */
export interface ReadContext {
  /** The guide's word on one table (`file` or `book.xlsx#Sheet`), top and matching entries joined. `{}` without a guide. */
  rulesFor(table: string): TableRules
  /** True when the guide names exactly this table, without wildcards (so a hidden sheet is wanted). */
  names(table: string): boolean
  readonly limits: Limits
  /** Told the bytes read so far of the source at hand. */
  onBytes?(bytes: number): void
}

/** Where reading stops with a message instead of exhausting the machine. All can be seen in `waneline read --help`. */
export interface Limits {
  /** Longest single record of delimited text, bytes. */
  readonly recordBytes: number
  /** Most columns of one table. */
  readonly columns: number
  /** Largest JSON document or line held at once, bytes. */
  readonly jsonBytes: number
  readonly jsonDepth: number
  /** Largest workbook file, bytes, and what it and any archive may unpack to. */
  readonly workbookBytes: number
  readonly unpackedBytes: number
  /** Most times larger than packed that anything may unpack, over its first megabyte. */
  readonly unpackRatio: number
  readonly archiveMembers: number
}

export const LIMITS: Limits = {
  recordBytes: 16 * 2 ** 20,
  columns: 16_384,
  jsonBytes: 512 * 2 ** 20,
  jsonDepth: 64,
  workbookBytes: 256 * 2 ** 20,
  unpackedBytes: 8 * 2 ** 30,
  unpackRatio: 200,
  archiveMembers: 10_000,
}

/** One per format: the tables of a source. A source it cannot read is a UserError naming the file and what to do. */
export type FormatReader = (source: Source, context: ReadContext) => Promise<RawTable[]>
