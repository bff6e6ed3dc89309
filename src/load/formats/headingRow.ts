import type { TableRules } from '../guide/guide.ts'
import { findHeadingRow, type HeadingRow } from '../headings/find.ts'
import type { Span } from '../headings/twoRows.ts'
import { type Grid, isBlankRow } from './xlsxMerges.ts'

const ROWS_LOOKED_AT = 50

/**
 * The row of the headings: the one with most headings that the guide or everyday words know; where they know none, the first that is nearly as wide as the widest of the first rows and holds words only.
 * Title rows hold one cell or two, so they are narrower.
 */
export function headingRowOf(
  grid: Grid,
  rules: TableRules,
  spansOf: (row: number) => readonly Span[] = () => [],
): HeadingRow {
  const rows = [...grid.slice(0, ROWS_LOOKED_AT)].map((row) => row ?? [])
  const byWords = findHeadingRow(rows, rules, { spansOf })
  return byWords.known > 0 ? byWords : { row: rowByShape(rows), known: 0 }
}

function rowByShape(rows: readonly (readonly string[])[]): number {
  const widths = rows.map((row) => row.filter((text) => text.trim() !== '').length)
  const widest = Math.max(1, ...widths)
  const found = rows.findIndex(
    (row, r) => (widths[r] as number) >= Math.max(widest * 0.6, Math.min(2, widest)) && row.every(isWords),
  )
  return found >= 0
    ? found
    : Math.max(
        0,
        rows.findIndex((row) => !isBlankRow(row)),
      )
}

const isWords = (text: string): boolean => text.trim() === '' || !/^[\d.,:/ -]+$/.test(text.trim())
