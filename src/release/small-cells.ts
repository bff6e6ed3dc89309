/** Counts from 1 to this less 1 are small; 0 is not a person. */
export const SMALL_CELL = 5

/** A row of counts whose sum is published beside it. No totals of columns are published, so a row stands alone. */
export interface CountRow {
  readonly total: number
  readonly cells: readonly number[]
}

export const isSmall = (count: number, below: number = SMALL_CELL): boolean => count > 0 && count < below

/**
 * What somebody who knows the total can say of each cell. Hidden cells are known to be at least 1, since zeros are
 * published; so each is at most what the total leaves once every other hidden cell has its 1. These integer bounds are
 * exact for one row.
 *
 * @returns lowest and highest possible value per cell; equal where the cell is shown or given away
 */
export function bounds(
  { cells, total }: CountRow,
  hidden: readonly boolean[],
): { low: number; high: number }[] {
  const shown = cells.reduce((sum, count, c) => (hidden[c] ? sum : sum + count), 0)
  const among = hidden.filter(Boolean).length
  const left = total - shown
  return cells.map((count, c) => {
    if (!hidden[c]) return { low: count, high: count }
    return among === 1 ? { low: left, high: left } : { low: 1, high: left - (among - 1) }
  })
}

/**
 * Which cells of a row stay hidden: every small one, and while the total gives one of them away, the smallest of those
 * still shown that is not zero. Where nothing is left to hide beside it, the caller must hide the total as well:
 * that happens only where the whole row counts fewer than `below`.
 */
export function hideSmallCells(row: CountRow, below: number = SMALL_CELL): boolean[] {
  const hidden = row.cells.map((count) => isSmall(count, below))
  for (;;) {
    const box = bounds(row, hidden)
    if (!hidden.some((h, c) => h && box[c]!.low === box[c]!.high)) return hidden
    const next = smallestShown(row.cells, hidden)
    if (next === null) return hidden
    hidden[next] = true
  }
}

function smallestShown(cells: readonly number[], hidden: readonly boolean[]): number | null {
  let at: number | null = null
  cells.forEach((count, c) => {
    if (!hidden[c] && count > 0 && (at === null || count < cells[at]!)) at = c
  })
  return at
}
