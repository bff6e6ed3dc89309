export type Cell = string | number | null
export type Row = readonly Cell[]

const compareCells = (a: Cell, b: Cell): number =>
  a === b ? 0 : a === null ? -1 : b === null ? 1 : a < b ? -1 : 1

/** Rows by their cells from left to right, empty first: the order says nothing of the order in the clinic's files. */
export function compareRows(a: Row, b: Row): number {
  for (let i = 0; i < a.length; i++) {
    const order = compareCells(a[i]!, b[i]!)
    if (order !== 0) return order
  }
  return 0
}

/** Numbers as a release writes them: enough digits to work with, none that only the machine knows. */
const NUMBER_DIGITS = 6

/** Counts stay exact, whatever their size; there is no negative zero. */
const tidy = (x: number): number => (Number.isInteger(x) ? x + 0 : Number(x.toPrecision(NUMBER_DIGITS)))

/** Rows that stand together, column by column, and make one group of a Parquet file. */
export const CHUNK_ROWS = 15_000

/**
 * Cells by column, in chunks: a million rows as arrays of their own would not fit in memory beside the files made of them, and
 * an array that grows by copying needs twice its room for as long as that takes.
 */
export class Columns {
  /** Every chunk has one array a column; all but the last hold {@link CHUNK_ROWS} rows. */
  readonly chunks: Cell[][][]
  readonly #width: number

  constructor(width: number) {
    this.#width = width
    this.chunks = [this.#empty()]
  }

  #empty(): Cell[][] {
    return Array.from({ length: this.#width }, () => [])
  }

  get length(): number {
    return (this.chunks.length - 1) * CHUNK_ROWS + this.chunks.at(-1)![0]!.length
  }

  push(row: Row): void {
    let last = this.chunks.at(-1)!
    if (last[0]!.length === CHUNK_ROWS) {
      // An array that grew has room to spare, which a copy has not.
      this.chunks[this.chunks.length - 1] = last.map((column) => column.slice())
      last = this.#empty()
      this.chunks.push(last)
    }
    for (let c = 0; c < row.length; c++) {
      const cell = row[c]!
      last[c]!.push(typeof cell === 'number' ? tidy(cell) : cell)
    }
  }

  column(c: number): Cell[] {
    return this.chunks.flatMap((chunk) => chunk[c]!)
  }

  rows(): Row[] {
    return this.chunks.flatMap((chunk) => chunk[0]!.map((_, i) => chunk.map((column) => column[i]!)))
  }

  static of(width: number, rows: Iterable<Row>): Columns {
    const columns = new Columns(width)
    for (const row of rows) columns.push(row)
    return columns
  }
}
