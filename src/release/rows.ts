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
