import { UserError } from '../../errors.ts'
import type { Column } from '../../records/index.ts'
import type { RawTable } from '../raw.ts'
import { MAX_CELLS, MAX_COLUMNS } from './limits.ts'

/** How much of a broken record's text is kept for a person to see. */
export const RAGGED_TEXT_LENGTH = 200

type Codes = Uint8Array | Uint16Array | Int32Array

/** A column while it is being read: code 0 is the empty text, codes grow in number and in width as needed. */
class GrowingColumn {
  readonly values: string[] = ['']
  private readonly codeOf = new Map<string, number>([['', 0]])
  private codes: Codes = new Uint8Array(64)

  set(row: number, text: string): void {
    let code = this.codeOf.get(text)
    if (code === undefined) {
      code = this.values.length
      this.values.push(text)
      this.codeOf.set(text, code)
      if (code === 256) this.codes = Uint16Array.from(this.codes)
      else if (code === 65536) this.codes = Int32Array.from(this.codes)
    }
    if (row >= this.codes.length) this.codes = resized(this.codes, Math.max(row + 1, this.codes.length * 2))
    this.codes[row] = code
  }

  isSet(row: number): boolean {
    return row < this.codes.length && this.codes[row] !== 0
  }

  finish(length: number): Column<string> {
    return {
      codes: this.codes.length === length ? this.codes : resized(this.codes, length),
      values: this.values,
    }
  }
}

function resized(codes: Codes, length: number): Codes {
  const larger =
    codes instanceof Uint8Array
      ? new Uint8Array(length)
      : codes instanceof Uint16Array
        ? new Uint16Array(length)
        : new Int32Array(length)
  larger.set(codes.length > length ? codes.subarray(0, length) : codes)
  return larger
}

/** Gathers rows into a {@link RawTable} when headings turn up as the file is read. */
export class TableBuilder {
  readonly file: string
  readonly remarks: string[] = []
  private readonly columns = new Map<string, GrowingColumn>()
  private readonly ragged = new Map<number, string>()
  private records: Int32Array | null = null
  /** Headings that the row at hand is the first to have. */
  private created: string[] = []
  private row = -1

  constructor(file: string, headings: readonly string[] = []) {
    this.file = file
    for (const heading of headings) this.columns.set(heading, new GrowingColumn())
  }

  /** Rows begun so far. */
  get length(): number {
    return this.row + 1
  }

  /** Begins a row; `record` is given only where rows and records differ. */
  begin(record?: number): void {
    this.row++
    this.created = []
    if (record === undefined) return
    this.records ??= new Int32Array(64)
    if (this.row >= this.records.length) {
      const larger = new Int32Array(this.records.length * 2)
      larger.set(this.records)
      this.records = larger
    }
    this.records[this.row] = record
  }

  /** Puts a text into the row that was begun. False when there is no room: the cell is taken, or columns run out. */
  set(heading: string, text: string): boolean {
    return this.setAt(this.row, heading, text)
  }

  /** The same for any row that was begun. */
  setAt(row: number, heading: string, text: string): boolean {
    if (this.ragged.size > 0 && this.ragged.has(row)) return true
    let column = this.columns.get(heading)
    if (column === undefined) {
      if (this.columns.size >= MAX_COLUMNS) return false
      column = new GrowingColumn()
      this.columns.set(heading, column)
      if (row === this.row) this.created.push(heading)
    }
    if (text === '') return true
    if (column.isSet(row)) return false
    column.set(row, text)
    return true
  }

  /** Says that the row that was begun is broken; whatever was put into it, and headings only it has, are taken back. */
  setRagged(text: string): void {
    for (const heading of this.created) this.columns.delete(heading)
    this.created = []
    this.setRaggedAt(this.row, text)
  }

  setRaggedAt(row: number, text: string): void {
    for (const column of this.columns.values()) if (column.isSet(row)) column.set(row, '')
    this.ragged.set(row, text.slice(0, RAGGED_TEXT_LENGTH))
  }

  /** A column that holds one text in every row; false when the heading is taken. */
  setEverywhere(heading: string, text: string): boolean {
    if (this.columns.has(heading) || this.columns.size >= MAX_COLUMNS) return false
    const column = new GrowingColumn()
    for (let row = 0; row <= this.row; row++) if (!this.ragged.has(row)) column.set(row, text)
    this.columns.set(heading, column)
    return true
  }

  /** @throws UserError when rows times headings pass {@link MAX_CELLS} */
  finish(
    rest: Partial<Omit<RawTable, 'file' | 'headings' | 'length' | 'columns' | 'ragged'>> = {},
  ): RawTable {
    const { length } = this
    if (length * this.columns.size > MAX_CELLS)
      throw new UserError(
        `${this.file} has ${length} records under ${this.columns.size} headings, more than the ${MAX_CELLS} cells that are read. Export it in parts.`,
      )
    return {
      file: this.file,
      headings: [...this.columns.keys()],
      length,
      columns: [...this.columns.values()].map((column) => column.finish(length)),
      ragged: this.ragged,
      lineOf: null,
      serialDayZero: null,
      ...(this.records === null ? {} : { recordOf: this.records.slice(0, length) }),
      ...rest,
      remarks: [...this.remarks, ...(rest.remarks ?? [])],
    }
  }
}
