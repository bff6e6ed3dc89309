import type { TableRules } from '../guide/guide.ts'
import { guideColumns } from './guideColumns.ts'
import { recogniseHeading } from './recognise.ts'

/** Rows that may stand above the headings. */
const MOST_TITLE_ROWS = 50
/** Fewer known headings than this in a row prove nothing. */
const FEWEST_KNOWN = 2

export interface HeadingRow {
  /** Index of the row of headings; the first row where none is recognised. */
  readonly row: number
  /** Headings in it that the guide names or everyday words explain; 0 where none is recognised. */
  readonly known: number
}

/**
 * Which of the first rows of a table are its headings: the first of those with most headings that are known. Rows are
 * not blank; cells are text.
 */
export function findHeadingRow(rows: readonly (readonly string[])[], rules: TableRules): HeadingRow {
  let best: HeadingRow = { row: 0, known: 0 }
  for (const [row, cells] of rows.slice(0, MOST_TITLE_ROWS + 1).entries()) {
    const known = knownHeadings(cells, rules)
    if (known >= FEWEST_KNOWN && known > best.known) best = { row, known }
  }
  return best
}

function knownHeadings(cells: readonly string[], rules: TableRules): number {
  const byGuide = guideColumns(cells, rules)
  const meanings = new Set<string>()
  cells.forEach((cell, k) => {
    if (cell.trim() === '' || cell.length > 200) return
    if (byGuide[k] !== null) meanings.add(`${k}`)
    else {
      const recognised = recogniseHeading(cell)
      if (recognised !== null) meanings.add(recognised.meaning + (recognised.side ?? ''))
    }
  })
  return meanings.size
}
