import type { CellValue, TableBlock, TableRow } from '../blocks.ts'
import { escapeHtml } from './escape.ts'
import { packed } from './live/pack.ts'
import { facetNumbers, followsAttribute, type Numbering } from './numbering.ts'

/** A number as a reader would write it: thousands set apart, a true minus. */
export function numberText(value: number, decimals: number): string {
  const [whole = '', fraction] = Math.abs(value).toFixed(decimals).split('.')
  const spaced = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole
  const text = fraction === undefined ? spaced : `${spaced}.${fraction}`
  return value < 0 && Number(Math.abs(value).toFixed(decimals)) !== 0 ? `\u2212${text}` : text
}

/** What a cell shows. */
export function cellText(value: CellValue | undefined, format: string, decimals: number): string {
  if (value === null || value === undefined) return ''
  if (typeof value === 'number')
    return format === 'percent'
      ? `${numberText(100 * value, decimals)} %`
      : format === 'number'
        ? numberText(value, decimals)
        : String(value)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return typeof value === 'string' ? value : value.text
}

const cellHtml = (value: CellValue | undefined, format: string, decimals: number): string => {
  const text = escapeHtml(cellText(value, format, decimals))
  return typeof value === 'object' && value !== null && value.href.startsWith('#')
    ? `<a href="${escapeHtml(value.href)}">${text}</a>`
    : text
}

/** Rows from which on a table gets a search box, and those from which on it scrolls under its headings. */
const SEARCHABLE = 12
const TALL = 24
/** Letters up to which a text is a code, up to which it stays on one line on a desk, and those from which on it needs room to be read. */
const CODE = 12
const SHORT = 24
const LONG = 40

/** One number in words, with its unit or as less than some bound. */
const FIGURE = /^(?:< )?[−-]?\d[\d.\u202f]*(?: %)?$/

/** How a column is set: numbers to the right, short texts unbroken, long ones with room. */
function classOf(
  { field, format, decimals }: TableBlock['columns'][number],
  rows: readonly TableRow[],
): string {
  if (format !== 'text') return ' class="n"'
  const texts = rows.map((row) => cellText(row[field], format, decimals))
  if (texts.length > 0 && texts.every((text) => /^[0-9a-f]{64}$/.test(text))) return ' class="hash"'
  // Shares and p-values that come as words are read down a column as numbers are.
  if (texts.some((text) => /[.%]/.test(text)) && texts.every((text) => text === '' || FIGURE.test(text)))
    return ' class="n"'
  const longest = Math.max(0, ...texts.map((text) => text.length))
  return longest <= CODE
    ? ' class="s c"'
    : longest <= SHORT
      ? ' class="s"'
      : longest > LONG
        ? ' class="l"'
        : ''
}

/** Rows from which on most of a table is packed, and those that then stand open. */
const LARGE = 400
const OPEN = 60

/** A cell as the page's script takes it: its text, with the number it sorts by, or the place it leads to. */
const packedCell = (
  value: CellValue | undefined,
  { format, decimals }: TableBlock['columns'][number],
): string | readonly [string, number | string] => {
  const text = cellText(value, format, decimals)
  if (typeof value === 'number') return [text, value]
  return typeof value === 'object' && value !== null && value.href.startsWith('#') ? [text, value.href] : text
}

function packedRows(block: TableBlock, numbers: Numbering | undefined): string {
  const rows = block.rows.map((row, i) => [
    block.columns.map((c) => packedCell(row[c.field], c)),
    numbers && block.rowFacets ? facetNumbers(numbers, block.rowFacets[i]!) : [],
    block.rowIds?.[i] ?? '',
    block.rowTimes?.[i] ?? null,
  ])
  return `<script type="application/x-waneline" class="rows">${packed(JSON.stringify(rows))}</script>`
}

function rowHtml(
  block: TableBlock,
  i: number,
  classes: readonly string[],
  numbers: Numbering | undefined,
): string {
  const row = block.rows[i]!
  const id = block.rowIds?.[i]
  const time = block.rowTimes?.[i] ?? null
  const facets = numbers && block.rowFacets ? facetNumbers(numbers, block.rowFacets[i]!) : []
  const cells = block.columns
    .map((c, k) => {
      const value = row[c.field]
      const sort = typeof value === 'number' ? ` data-v="${value}"` : ''
      return `<td${classes[k]}${sort}>${cellHtml(value, c.format, c.decimals)}</td>`
    })
    .join('')
  return `<tr${id ? ` id="${escapeHtml(id)}"` : ''}${time === null ? '' : ` data-t="${time}"`}${facets.length ? ` data-f="${facets.join(' ')}"` : ''}>${cells}</tr>`
}

/**
 * A table. Of a large one the first rows stand open and all of them are packed beside it, for the page's script to search,
 * sort and show; without scripts, and on paper, a line says where the rest is.
 */
export function tableHtml(block: TableBlock, numbers?: Numbering): string {
  const { columns, rows, caption } = block
  const large = rows.length > LARGE
  const classes = columns.map((c) => classOf(c, rows))
  const head = columns
    .map(
      (c, i) =>
        `<th scope="col"${classes[i]}>${escapeHtml(c.label.length <= CODE ? c.label.replaceAll(' ', '\u00a0') : c.label)}</th>`,
    )
    .join('')
  const body = rows
    .slice(0, large ? OPEN : rows.length)
    .map((_, i) => rowHtml(block, i, classes, numbers))
    .join('\n')
  const name = caption || 'table'
  const tall = rows.length > TALL ? ' tall' : ''
  const follows = numbers ? followsAttribute(block.rowFacets ?? []) : ''
  const rest = large
    ? `<p class="part">The first ${OPEN} of ${numberText(rows.length, 0)} rows. With scripts on, all can be searched and sorted here; the CSV form of this page holds them all.</p>${packedRows(block, numbers)}`
    : ''
  return `<div class="tablebox"${rows.length >= SEARCHABLE ? ' data-search' : ''}${follows}><div class="scroll${tall}" tabindex="0" role="region" aria-label="${escapeHtml(name)}"><table>${
    caption ? `<caption>${escapeHtml(caption)}</caption>` : ''
  }<thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table></div>${rest}</div>`
}
