/** Counts from 1 to this less 1 are small; 0 is not a person. */
export const SMALL_CELL = 5

/** A row of counts whose sum is published beside it. */
export interface CountRow {
  readonly total: number
  readonly cells: readonly number[]
}

/** Whether each cell stays hidden, in the shape of the cells. */
export type Hidden = readonly (readonly boolean[])[]

export const isSmall = (count: number, below: number = SMALL_CELL): boolean => count > 0 && count < below

/**
 * What somebody who knows the totals can say of each hidden cell: integer bounds, narrowed until nothing changes.
 * Hidden cells are known to be at least 1, since zeros are published.
 *
 * @param columnTotals the sum of each column where that is published too
 * @returns lowest and highest possible value per cell; equal where the cell is given away
 */
export function bounds(
  rows: readonly CountRow[],
  hidden: Hidden,
  columnTotals: readonly number[] | null,
): { readonly low: number; readonly high: number }[][] {
  const box = rows.map(({ cells, total }, r) =>
    cells.map((count, c) => (hidden[r]![c] ? { low: 1, high: total } : { low: count, high: count })),
  )
  const lines: { readonly total: number; readonly at: readonly (readonly [number, number])[] }[] = [
    ...rows.map(({ cells, total }, r) => ({ total, at: cells.map((_, c) => [r, c] as const) })),
    ...(columnTotals ?? []).map((total, c) => ({ total, at: rows.map((_, r) => [r, c] as const) })),
  ]
  for (let changed = true; changed; ) {
    changed = false
    for (const { total, at } of lines) {
      const lows = at.reduce((sum, [r, c]) => sum + box[r]![c]!.low, 0)
      const highs = at.reduce((sum, [r, c]) => sum + box[r]![c]!.high, 0)
      for (const [r, c] of at) {
        const cell = box[r]![c]!
        const low = Math.max(cell.low, total - (highs - cell.high))
        const high = Math.min(cell.high, total - (lows - cell.low))
        if (low !== cell.low || high !== cell.high) {
          box[r]![c] = { low, high }
          changed = true
          break
        }
      }
    }
  }
  return box
}

/**
 * Hides every small cell and as many others as it takes that none can be worked out from the totals: while the bounds
 * give a small cell away, the smallest cell still shown in its row (or column) that is not zero is hidden too.
 */
export function hideSmallCells(
  rows: readonly CountRow[],
  options: { readonly below?: number; readonly columnTotals?: readonly number[] | null } = {},
): boolean[][] {
  const below = options.below ?? SMALL_CELL
  const columnTotals = options.columnTotals ?? null
  const hidden = rows.map(({ cells }) => cells.map((count) => isSmall(count, below)))
  for (;;) {
    const given = givenAway(rows, hidden, columnTotals)
    if (!given) return hidden
    const more = complement(rows, hidden, given, columnTotals !== null)
    if (!more) {
      // Nothing left to hide beside it: the whole line goes.
      rows[given[0]]!.cells.forEach((count, c) => {
        hidden[given[0]]![c] = hidden[given[0]]![c] || count > 0
      })
      return hidden
    }
    hidden[more[0]]![more[1]] = true
  }
}

function givenAway(
  rows: readonly CountRow[],
  hidden: Hidden,
  columnTotals: readonly number[] | null,
): readonly [number, number] | null {
  const box = bounds(rows, hidden, columnTotals)
  for (let r = 0; r < rows.length; r++)
    for (let c = 0; c < rows[r]!.cells.length; c++)
      if (hidden[r]![c] && box[r]![c]!.low === box[r]![c]!.high) return [r, c]
  return null
}

/** The smallest shown, not empty cell in the row of a cell given away, else in its column. */
function complement(
  rows: readonly CountRow[],
  hidden: Hidden,
  [row, column]: readonly [number, number],
  alsoColumn: boolean,
): readonly [number, number] | null {
  const inRow = rows[row]!.cells.map((_, c) => [row, c] as const)
  const inColumn = alsoColumn ? rows.map((_, r) => [r, column] as const) : []
  const open = (at: readonly (readonly [number, number])[]): readonly [number, number] | null =>
    at
      .filter(([r, c]) => !hidden[r]![c] && rows[r]!.cells[c]! > 0)
      .sort((a, b) => rows[a[0]]!.cells[a[1]]! - rows[b[0]]!.cells[b[1]]!)[0] ?? null
  return open(inRow) ?? open(inColumn)
}
