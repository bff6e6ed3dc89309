import type { CellValue, TableBlock, TableRow } from '../blocks.ts'
import { escapeHtml } from './escape.ts'

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
/** Letters up to which a text stays on one line, and those from which on it needs room to be read. */
const SHORT = 18
const LONG = 40

/** How a column is set: numbers to the right, short texts unbroken, long ones with room. */
function classOf(
  { field, format, decimals }: TableBlock['columns'][number],
  rows: readonly TableRow[],
): string {
  if (format !== 'text') return ' class="n"'
  const texts = rows.map((row) => cellText(row[field], format, decimals))
  if (texts.length > 0 && texts.every((text) => /^[0-9a-f]{64}$/.test(text))) return ' class="hash"'
  const longest = Math.max(0, ...texts.map((text) => text.length))
  return longest <= SHORT ? ' class="s"' : longest > LONG ? ' class="l"' : ''
}

export function tableHtml(block: TableBlock): string {
  const { columns, rows, caption } = block
  const classes = columns.map((c) => classOf(c, rows))
  const head = columns.map((c, i) => `<th scope="col"${classes[i]}>${escapeHtml(c.label)}</th>`).join('')
  const body = rows
    .map((row, i) => {
      const id = block.rowIds?.[i]
      const cells = columns
        .map((c, k) => {
          const value = row[c.field]
          const sort = typeof value === 'number' ? ` data-v="${value}"` : ''
          return `<td${classes[k]}${sort}>${cellHtml(value, c.format, c.decimals)}</td>`
        })
        .join('')
      const time = block.rowTimes?.[i] ?? null
      return `<tr${id ? ` id="${escapeHtml(id)}"` : ''}${time === null ? '' : ` data-t="${time}"`}>${cells}</tr>`
    })
    .join('\n')
  const name = caption || 'table'
  const tall = rows.length > TALL ? ' tall' : ''
  return `<div class="tablebox"${rows.length >= SEARCHABLE ? ' data-search' : ''}><div class="scroll${tall}" tabindex="0" role="region" aria-label="${escapeHtml(name)}"><table>${
    caption ? `<caption>${escapeHtml(caption)}</caption>` : ''
  }<thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table></div></div>`
}
