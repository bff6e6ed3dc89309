import type * as XLSX from '@e965/xlsx'
import { UserError } from '../../errors.ts'
import type { ReadContext } from '../context.ts'
import type { TableRules } from '../guide/guide.ts'
import { findHeadingRow, type HeadingRow } from '../headings/find.ts'
import type { Span } from '../headings/twoRows.ts'
import type { RawTable } from '../raw.ts'
import { headingRowOf } from './headingRow.ts'
import { MAX_COLUMNS } from './limits.ts'
import { LineNumbers } from './lineNumbers.ts'
import { allBytes, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'
import { cellText, DAY_COUNT_1900, DAY_COUNT_1904, type DayCount } from './xlsxCells.ts'
import { fillMerged, type Grid, isBlankRow, withGroupHeadings } from './xlsxMerges.ts'
import { openWorkbook } from './xlsxWorkbook.ts'

/**
 * Reads an XLSX workbook: a table for each sheet, named `book.xlsx#Sheet`. Cells are text as {@link cellText} says;
 * formulas give the value last worked out. Rows above the headings, blank rows, and sheets that are hidden (unless the
 * guide names them), empty, or that the guide leaves out are no records; the remarks name them.
 *
 * @throws UserError when it is no workbook that can be read
 */
export async function readXlsx(source: Source, context: ReadContext): Promise<RawTable[]> {
  const { file } = source
  const { book, unworkedFormulas } = openWorkbook(file, await allBytes(source))
  const days = book.Workbook?.WBProps?.date1904 === true ? DAY_COUNT_1904 : DAY_COUNT_1900
  const remarks: string[] = []
  if (unworkedFormulas > 0)
    remarks.push(
      `${unworkedFormulas} formulas have no value yet and were read as empty. Open ${file} in a spreadsheet and save it.`,
    )
  const tables: RawTable[] = []
  book.SheetNames.forEach((name, i) => {
    const table = `${file}#${name}`
    const sheet = book.Sheets[name]
    const hidden = (book.Workbook?.Sheets?.[i]?.Hidden ?? 0) !== 0
    const rules = context.rulesFor(table)
    if (hidden && !context.names(table)) remarks.push(`The hidden sheet "${name}" was not read.`)
    else if (rules.holds === 'nothing') remarks.push(`The sheet "${name}" was not read, as the guide says.`)
    else if (sheet === undefined || sheet['!data'] === undefined || sheet['!data'].length === 0)
      remarks.push(`The sheet "${name}" is empty.`)
    else tables.push(sheetTable(table, sheet, rules, days))
  })
  const first = tables[0] ?? new TableBuilder(file).finish()
  return [{ ...first, remarks: [...remarks, ...first.remarks] }, ...tables.slice(1)]
}

function sheetTable(file: string, sheet: XLSX.WorkSheet, rules: TableRules, days: DayCount): RawTable {
  const grid = gridOf(sheet, days)
  const merges = sheet['!merges'] ?? []
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
    ...tableOf(file, grid, headingRow, headings, days, remarks),
    above: grid.slice(0, headingRow).map((row) => row ?? []),
  }
}

function gridOf(sheet: XLSX.WorkSheet, days: DayCount): Grid {
  const rows = sheet['!data'] as (XLSX.CellObject | undefined)[][]
  const grid: Grid = new Array(rows.length)
  rows.forEach((row, r) => {
    // A hole in a row is an empty cell; cells far out to the right are cut off and counted below.
    if (row)
      grid[r] = Array.from({ length: Math.min(row.length, MAX_COLUMNS) }, (_, c) => cellText(row[c], days))
  })
  return grid
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

function tableOf(
  file: string,
  grid: Grid,
  headingRow: number,
  headings: readonly (readonly [string, number])[],
  days: DayCount,
  remarks: readonly string[],
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
    row.forEach((text, c) => {
      if (withHeading.has(c)) table.set(String(c), text)
      else if (text !== '' && stray++ === 0) firstStray = `row ${r + 1}, "${text.slice(0, 40)}"`
    })
  }
  const made = table.finish({ lineOf: lines.at, serialDayZero: days.dayZero })
  const more =
    stray > 0
      ? [`${stray} cells stand under no heading and were not read; the first is in ${firstStray}.`]
      : []
  return { ...made, headings: headings.map(([heading]) => heading), remarks: [...remarks, ...more] }
}
