import type * as XLSX from '@e965/xlsx'
import type { ReadContext } from '../context.ts'
import type { RawTable } from '../raw.ts'
import { tableOfGrid } from './gridTable.ts'
import { MAX_COLUMNS } from './limits.ts'
import { allBytes, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'
import { cellText, DAY_COUNT_1900, DAY_COUNT_1904, type DayCount } from './xlsxCells.ts'
import type { Grid } from './xlsxMerges.ts'
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
    else
      tables.push(
        tableOfGrid(table, gridOf(sheet, days), rules, sheet['!merges'] ?? [], {
          serialDayZero: days.dayZero,
        }),
      )
  })
  const first = tables[0] ?? new TableBuilder(file).finish()
  return [{ ...first, remarks: [...remarks, ...first.remarks] }, ...tables.slice(1)]
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
