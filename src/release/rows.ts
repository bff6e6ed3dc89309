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
export const tidy = (x: number): number =>
  Number.isInteger(x) ? x + 0 : Number(x.toPrecision(NUMBER_DIGITS))

/** Cells by column: a million rows as arrays of their own would not fit in memory beside the files made of them. */
export class Columns {
  readonly cells: readonly Cell[][]

  constructor(width: number) {
    this.cells = Array.from({ length: width }, () => [])
  }

  get length(): number {
    return this.cells[0]!.length
  }

  push(row: Row): void {
    for (let c = 0; c < row.length; c++) {
      const cell = row[c]!
      this.cells[c]!.push(typeof cell === 'number' ? tidy(cell) : cell)
    }
  }

  rows(): Row[] {
    return Array.from({ length: this.length }, (_, i) => this.cells.map((column) => column[i]!))
  }

  static of(width: number, rows: Iterable<Row>): Columns {
    const columns = new Columns(width)
    for (const row of rows) columns.push(row)
    return columns
  }
}
