import type { TableRules } from '../guide/guide.ts'
import { guideColumns } from './guideColumns.ts'
import { recogniseHeading } from './recognise.ts'

/** A cell that stands over the columns from `from` to `to`, both included. */
export interface Span {
  readonly from: number
  readonly to: number
}

/**
 * Headings in two rows as one: a cell over several columns goes before each of theirs (`Left` over `Reps` and `Seconds`
 * gives `Left Reps`, `Left Seconds`); a column with one heading, in either row, keeps it. Where the joined words say
 * nothing and the lower ones do, the lower ones stand: the cell above does not belong to them.
 *
 * @param spans how far cells of the upper row reach; where it is not told, over the blank cells to their right
 * @returns null where fewer than two cells stand over others: one is a title
 */
export function joinedHeadings(
  above: readonly string[],
  below: readonly string[],
  rules: TableRules,
  spans: readonly Span[] = [],
): string[] | null {
  const over = spans.length > 0 ? spanned(above, spans) : reaching(above)
  const groups = new Set(over.filter((group, c) => group >= 0 && (below[c] ?? '').trim() !== ''))
  const reaches = over.some((group, c) => group >= 0 && group !== c && (below[c] ?? '').trim() !== '')
  if (groups.size < 2 || !reaches) return null
  const width = Math.max(above.length, below.length)
  const joined = Array.from({ length: width }, (_, c) => {
    const group = (above[over[c] ?? c] ?? above[c] ?? '').trim()
    return `${group} ${(below[c] ?? '').trim()}`.trim()
  })
  const isKnown = (headings: readonly string[]): boolean[] => {
    const byGuide = guideColumns(headings, rules)
    return headings.map((heading, c) => byGuide[c] !== null || recogniseHeading(heading) !== null)
  }
  const known = isKnown(joined)
  const lower = isKnown(below)
  return joined.map((heading, c) => (!known[c] && lower[c] ? (below[c] as string).trim() : heading))
}

/** For each column the column of the cell that stands over it; -1 where none does. */
function spanned(above: readonly string[], spans: readonly Span[]): number[] {
  const over = above.map((cell, c) => (cell.trim() === '' ? -1 : c))
  for (const { from, to } of spans)
    if ((above[from] ?? '').trim() !== '') for (let c = from; c <= to; c++) over[c] = from
  return over
}

function reaching(above: readonly string[]): number[] {
  let last = -1
  return above.map((cell, c) => {
    if (cell.trim() !== '') last = c
    return last
  })
}
