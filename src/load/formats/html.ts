import { UserError } from '../../errors.ts'
import type { ReadContext } from '../context.ts'
import type { RawTable } from '../raw.ts'
import { tableOfGrid } from './gridTable.ts'
import { ATTRIBUTES, htmlText } from './htmlText.ts'
import { MAX_COLUMNS, MAX_PAGE_BYTES } from './limits.ts'
import { allBytes, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'
import { decodeText, utf8Chunks } from './text.ts'
import type { Grid } from './xlsxMerges.ts'

/** A range of merged cells, as workbooks have them. */
interface Merge {
  readonly s: { readonly r: number; readonly c: number }
  readonly e: { readonly r: number; readonly c: number }
}

interface PageTable {
  readonly grid: string[][]
  readonly widths: number[]
  readonly merges: Merge[]
  /** Columns that a cell above still reaches down into, and for how many rows. */
  readonly reaching: Map<number, number>
}

/** Comments and scripts whole, and marks; what stands in quotes may hold a `>`. Lengths are bounded, for files that mean harm. */
const MARK = new RegExp(
  `<!--[\\s\\S]*?(-->|$)|<(script|style|title)\\b[\\s\\S]*?(</\\2\\s*>|$)|<(/?)([a-z][a-z0-9]*)\\b(${ATTRIBUTES})>`,
  'gi',
)
const CHARSETS = /^(?:utf-?8|utf-?16(?:le|be)?|us-ascii|iso-?8859-1|latin-?1|windows-1252|cp1252)$/i

/**
 * Reads the tables of a web page, or of what a system calls `.xls` and is one: a table for each that it has,
 * named `page.xls#2` where there are several. Cells are their text; nothing is worked out of styles or formulas.
 * A row of another number of cells than the headings is ragged; a cell over several rows holds for each, as in a workbook.
 *
 * @throws UserError where a table has no end or lies within another
 */
export async function readHtml(source: Source, context: ReadContext): Promise<RawTable[]> {
  const { file } = source
  const pages = pageTables(file, await pageText(source)).filter(({ grid }) => grid.length > 0)
  const remarks = [`${file} is a web page; its tables were read.`]
  if (pages.length === 0)
    return [new TableBuilder(file).finish({ remarks: [`${file} is a web page without a table.`] })]
  const tables = pages.map((page, k) => {
    const name = pages.length === 1 ? file : `${file}#${k + 1}`
    return tableOfGrid(name, page.grid as Grid, context.rulesFor(name), page.merges, { widths: page.widths })
  })
  return tables.map((table, k) => ({
    ...table,
    // A page's lines say nothing of its rows.
    lineOf: null,
    remarks: k === 0 ? [...remarks, ...table.remarks] : table.remarks,
  }))
}

async function pageText(source: Source): Promise<string> {
  const plain: Source = { file: source.file, chunks: () => utf8Chunks(source.chunks()) }
  const { text } = decodeText(await allBytes(plain, MAX_PAGE_BYTES))
  const charset = /<meta\b[^>]{0,200}?charset\s*=\s*["']?([\w-]{1,40})/i.exec(text.slice(0, 10_000))?.[1]
  if (charset !== undefined && !CHARSETS.test(charset) && /[^\0-\x7f]/.test(text))
    throw new UserError(
      `${source.file} is written in ${charset}, which is not read. Save it as .xlsx or UTF-8.`,
    )
  return text
}

function pageTables(file: string, text: string): PageTable[] {
  const tables: PageTable[] = []
  let table: PageTable | null = null
  let cell: { readonly from: number; readonly across: number; readonly down: number } | null = null
  const endCell = (to: number): void => {
    if (table !== null && cell !== null) place(file, table, htmlText(text.slice(cell.from, to)), cell)
    cell = null
  }
  for (const mark of text.matchAll(MARK)) {
    const [whole, comment, , script, closing = '', tag, attributes = ''] = mark
    if (comment === '' || script === '') throw cutShort(file)
    const name = tag?.toLowerCase()
    if (name === undefined || !TABLE_TAGS.has(name)) continue
    const begins = closing === ''
    if (name === 'table' && begins && table !== null)
      throw new UserError(`${file} has tables within tables, which are not read. Save it as .xlsx or CSV.`)
    endCell(mark.index)
    if (name === 'table') {
      table = begins ? { grid: [], widths: [], merges: [], reaching: new Map() } : null
      if (table !== null) tables.push(table)
    } else if (table === null || !begins) continue
    else if (name === 'tr') beginRow(table)
    else if (name === 'td' || name === 'th') {
      if (table.grid.length === 0) beginRow(table)
      const [across, down] = [spanOf(attributes, 'colspan'), spanOf(attributes, 'rowspan')]
      cell = { from: mark.index + whole.length, across, down }
    }
  }
  if (table !== null) throw cutShort(file)
  return tables
}

const cutShort = (file: string): UserError =>
  new UserError(`${file} is cut short: a table, comment or script in it has no end. Export it again.`)

const TABLE_TAGS: ReadonlySet<string> = new Set(['table', 'thead', 'tbody', 'tfoot', 'tr', 'td', 'th'])

const spanOf = (attributes: string, name: string): number => {
  const found = new RegExp(`\\b${name}\\s*=\\s*["']?(\\d{1,5})`, 'i').exec(attributes)
  return Math.max(1, Number(found?.[1] ?? 1))
}

function beginRow(table: PageTable): void {
  table.grid.push([])
  table.widths.push(0)
  fillReached(table)
}

/** Blank cells where a cell of a row above reaches down. */
function fillReached({ grid, widths, reaching }: PageTable): void {
  const row = grid.at(-1) as string[]
  for (let left = reaching.get(row.length); left !== undefined && left > 0; left = reaching.get(row.length)) {
    reaching.set(row.length, left - 1)
    row.push('')
    widths[widths.length - 1] = row.length
  }
}

function place(
  file: string,
  table: PageTable,
  text: string,
  { across, down }: { readonly across: number; readonly down: number },
): void {
  const row = table.grid.at(-1) as string[]
  const [r, c] = [table.grid.length - 1, row.length]
  if (c + across > MAX_COLUMNS)
    throw new UserError(`${file} has a row of more than ${MAX_COLUMNS} cells, which is not read.`)
  row.push(text, ...new Array<string>(across - 1).fill(''))
  if (across > 1 || down > 1) table.merges.push({ s: { r, c }, e: { r: r + down - 1, c: c + across - 1 } })
  if (down > 1) for (let k = c; k < c + across; k++) table.reaching.set(k, down - 1)
  table.widths[r] = row.length
  fillReached(table)
}
