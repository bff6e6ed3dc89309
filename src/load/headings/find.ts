import type { TableRules } from '../guide/guide.ts'
import { guideColumns } from './guideColumns.ts'
import { recogniseHeading } from './recognise.ts'
import { joinedHeadings, type Span } from './twoRows.ts'

/** Rows that may stand above the headings. */
const MOST_TITLE_ROWS = 50
/** Fewer known headings than this in a row prove nothing. */
const FEWEST_KNOWN = 2

export interface HeadingRow {
  /** Index of the row of headings, the lower one of two; the first row where none is recognised. */
  readonly row: number
  /** Headings in it that the guide names or everyday words explain; 0 where none is recognised. */
  readonly known: number
  /** The headings, where they are made of two rows (`Left` over `Reps` and `Seconds`). */
  readonly joined?: readonly string[]
}

export interface FindOptions {
  /** The only row that it can be. */
  readonly only?: number
  /** How far each cell of a row reaches to the right, where the file tells it; else over the blank cells beside it. */
  readonly spansOf?: (row: number) => readonly Span[]
}

/**
 * Which of the first rows of a table are its headings: the first of those with most headings that are known, alone or
 * joined to the row above. Rows are not blank; cells are text.
 */
export function findHeadingRow(
  rows: readonly (readonly string[])[],
  rules: TableRules,
  options: FindOptions = {},
): HeadingRow {
  let best: HeadingRow = { row: options.only ?? 0, known: 0 }
  for (const [row, cells] of rows.slice(0, MOST_TITLE_ROWS + 1).entries()) {
    if (options.only !== undefined && row !== options.only) continue
    const known = knownHeadings(cells, rules)
    if (known >= FEWEST_KNOWN && known > best.known) best = { row, known }
    const above = rows[row - 1]
    const joined = above && joinedHeadings(above, cells, rules, options.spansOf?.(row - 1))
    if (!joined) continue
    const knownTogether = knownHeadings(joined, rules)
    if (knownTogether > Math.max(known, best.known, FEWEST_KNOWN - 1))
      best = { row, known: knownTogether, joined }
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
