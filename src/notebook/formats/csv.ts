import type { CellValue, TableBlock } from '../blocks.ts'
import { chartTable } from '../html/blocks.ts'
import { slug } from '../html/escape.ts'
import { allBlocks, type Page } from '../page.ts'

/** A spreadsheet runs a cell that begins so as a formula (OWASP, CSV injection): an apostrophe makes it text. */
const FORMULA = /^[=+\-@\t\r]/

const cell = (value: CellValue | undefined): string => {
  if (value === null || value === undefined) return ''
  if (typeof value === 'number' || typeof value === 'boolean') return String(value)
  const text = typeof value === 'string' ? value : value.text
  const safe = FORMULA.test(text) ? `'${text}` : text
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/**
 * Rows as CSV (RFC 4180, UTF-8, LF): the fields as headings, numbers in full, empty for "not known". Text that a
 * spreadsheet would run as a formula gets an apostrophe in front.
 */
export const csvOf = (
  fields: readonly string[],
  rows: readonly Readonly<Record<string, CellValue | undefined>>[],
): string =>
  `${[fields.map(cell), ...rows.map((row) => fields.map((field) => cell(row[field])))]
    .map((cells) => cells.join(','))
    .join('\n')}\n`

/** Every table of a page, those behind charts included, with a name that sorts in the order of the page. */
export function csvFiles(page: Page): { readonly name: string; readonly content: string }[] {
  const tables: { readonly title: string; readonly table: TableBlock }[] = []
  for (const { blocks } of page.cells)
    for (const block of allBlocks(blocks))
      if (block.kind === 'table') tables.push({ title: block.caption || 'table', table: block })
      else if (block.kind === 'chart' && block.chart.table.rows.length > 0)
        tables.push({ title: block.chart.title, table: chartTable(block.chart) })
  const width = String(tables.length).length
  return tables.map(({ title, table }, i) => ({
    name: `${String(i + 1).padStart(width, '0')}-${slug(title).slice(0, 60).replace(/-$/, '')}.csv`,
    content: csvOf(
      table.columns.map((c) => c.field),
      table.rows,
    ),
  }))
}
