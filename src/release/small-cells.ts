/** Counts from 1 to this less 1 are small; 0 is not a person. */
export const SMALL_CELL = 5

/** A row of counts whose sum is published beside it. No totals of columns are published, so a row stands alone. */
export interface CountRow {
  readonly total: number
  readonly cells: readonly number[]
}

const isSmall = (count: number, below: number = SMALL_CELL): boolean => count > 0 && count < below

/**
 * Which cells of a row stay hidden: every small one, and with them all that equal the smallest of the others that are not
 * zero. Whether a second cell is hidden depends on no total, so not even somebody who knows this rule can work a
 * cell back: exchanging a small count with a hidden larger one gives another row that would be published alike.
 *
 * @returns one flag a cell; null where the row as a whole must stay unpublished: it counts fewer than `below`, or every
 *   hidden cell could only be 1
 */
export function hideSmallCells(row: CountRow, below: number = SMALL_CELL): boolean[] | null {
  if (row.total < below) return null
  const small = row.cells.map((count) => isSmall(count, below))
  if (!small.includes(true)) return small
  const larger = row.cells.filter((count) => count >= below)
  const second = Math.min(...larger)
  const hidden = row.cells.map((count, c) => small[c]! || count === second)
  const left = row.cells.reduce((sum, count, c) => (hidden[c] ? sum + count : sum), 0)
  return left === hidden.filter(Boolean).length ? null : hidden
}
