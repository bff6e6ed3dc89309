import type { TableRules } from '../guide/guide.ts'
import type { GuideColumn } from './guideColumns.ts'

/** The two columns that a table turned by the guide's `across` has instead of those it had. */
export const ACROSS_HEADINGS = '(the heading)'
export const ACROSS_CELLS = '(the cell under it)'

/** Headings are matched as written, but for case and the room between words. */
export const plainHeading = (heading: string): string => heading.trim().replace(/\s+/g, ' ').toLowerCase()

/** What the two columns of a turned table hold; null for every other heading. */
export function acrossColumn(heading: string, { across }: TableRules): GuideColumn | null {
  if (across === undefined) return null
  if (heading === ACROSS_HEADINGS) return { field: across.field, rank: 0 }
  return heading === ACROSS_CELLS ? { field: across.cells, rank: 0, wide: true } : null
}
