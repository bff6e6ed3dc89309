import type * as XLSX from '@e965/xlsx'
import { UserError } from '../../errors.ts'
import type { TableRules } from '../guide/guide.ts'
import { findHeadingRow, type HeadingRow } from '../headings/find.ts'
import type { Span } from '../headings/twoRows.ts'
import type { RawTable } from '../raw.ts'
import { headingRowOf } from './headingRow.ts'
import { LineNumbers } from './lineNumbers.ts'
import { TableBuilder } from './tableBuilder.ts'
import { fillMerged, type Grid, isBlankRow, withGroupHeadings } from './xlsxMerges.ts'

export interface GridOptions {
  /** As in {@link RawTable.serialDayZero}. Default null: bare numbers are no dates. */
  readonly serialDayZero?: number | null
  /** How many cells each row was written with, where a row with fewer or more than the headings is broken. */
  readonly widths?: readonly number[]
}

/**
 * A table of rows of cells, as a sheet or a page has them. Rows above the headings and blank rows are no records.
 *
 * @param merges the ranges of cells that are merged
 */
export function tableOfGrid(
  file: string,
  grid: Grid,
  rules: TableRules,
  merges: readonly XLSX.Range[],
  options: GridOptions = {},
): RawTable {
  const remarks: string[] = []
  const found = rowOfHeadings(file, grid, rules, merges)
  const headingRow = found.row
  const headings = distinctHeadings(found.joined ?? withGroupHeadings(grid, headingRow, merges))
  const titles = grid
    .slice(0, headingRow)
    .flatMap((row) => (isBlankRow(row) ? [] : [(row ?? []).join(' ').trim()]))
  if (titles.length > 0) remarks.push(`Passed over above the headings: ${titles.join(' / ').slice(0, 200)}`)
  if ((rules.merged_cells ?? 'fill') === 'fill') {
    const filled = fillMerged(file, grid, merges, headingRow + 1)
    if (filled > 0) remarks.push(`Merged cells hold for every row they span (${filled} cells filled).`)
  }
  return {
    ...rowsBelow(file, grid, headingRow, headings, remarks, options),
    above: grid.slice(0, headingRow).map((row) => row ?? []),
  }
}

function rowOfHeadings(
  file: string,
  grid: Grid,
  rules: TableRules,
  merges: readonly XLSX.Range[],
): HeadingRow {
  const spansOf = (row: number): readonly Span[] =>
    merges.filter(({ s, e }) => s.r === row && e.r === row).map(({ s, e }) => ({ from: s.c, to: e.c }))
  if (rules.heading_row !== undefined) {
    const only = rules.heading_row - 1
    if (!isBlankRow(grid[only]))
      return findHeadingRow(
        grid.slice(0, only + 1).map((row) => row ?? []),
        rules,
        { only, spansOf },
      )
    throw new UserError(`${file}: the guide says heading_row: ${rules.heading_row}, but that row is empty.`)
  }
  return headingRowOf(grid, rules, spansOf)
}

/** Heading and column number of each column that has a heading. */
function distinctHeadings(headings: readonly string[]): readonly (readonly [string, number])[] {
  return headings.flatMap((heading, c) => (heading === '' ? [] : [[heading, c] as const]))
}

function rowsBelow(
  file: string,
  grid: Grid,
  headingRow: number,
  headings: readonly (readonly [string, number])[],
  remarks: readonly string[],
  { serialDayZero = null, widths }: GridOptions,
): RawTable {
  const lines = new LineNumbers()
  const withHeading = new Set(headings.map(([, c]) => c))
  // The builder tells columns by name; two may share a heading, so it is given their numbers.
  const table = new TableBuilder(
    file,
    headings.map(([, c]) => String(c)),
  )
  let stray = 0
  let firstStray = ''
  for (let r = headingRow + 1; r < grid.length; r++) {
    const row = grid[r]
    if (row === undefined || isBlankRow(row)) continue
    table.begin()
    lines.push(r + 1)
    if (widths !== undefined && widths[r] !== widths[headingRow]) {
      table.setRagged(row.join(' | '))
      continue
    }
    row.forEach((text, c) => {
      if (withHeading.has(c)) table.set(String(c), text)
      else if (text !== '' && stray++ === 0) firstStray = `row ${r + 1}, "${text.slice(0, 40)}"`
    })
  }
  const made = table.finish({ lineOf: lines.at, serialDayZero })
  const more =
    stray > 0
      ? [`${stray} cells stand under no heading and were not read; the first is in ${firstStray}.`]
      : []
  return { ...made, headings: headings.map(([heading]) => heading), remarks: [...remarks, ...more] }
}
