import type pptxgen from 'pptxgenjs'
import type { Entry, TableBlock } from '../blocks.ts'
import { cellText } from '../html/table.ts'
import { BODY, BOTTOM, INK, LEFT, LINE, linesOf, ROW_HEIGHT, SANS, type Sheet, SOFT } from './pptx-sheet.ts'
import { slideText } from './pptx-text.ts'
import { prose, TONES } from './pptx-words.ts'

type TableRow = pptxgen.default.TableRow

const TABLE_SLIDES = 3

/** A list of people with their reasons, as a table. */
export function entries(sheet: Sheet, caption: string, items: readonly Entry[]): void {
  if (items.length === 0)
    prose(sheet, [{ kind: 'text', depth: 0, runs: [{ text: `${caption}: nobody.`, bold: true }] }])
  else
    rows(
      sheet,
      caption,
      [['Who', 'Why', 'On record']],
      items.map((e) => ({
        cells: [e.tone === 'urgent' ? `${e.title} (today)` : e.title, e.lead, (e.lines ?? []).join('; ')],
        ink: e.tone === 'urgent' ? TONES.urgent.ink : INK,
      })),
      [2.4, 4.4, BODY - 6.8],
      ['left', 'left', 'left'],
    )
}

/** A table, native and editable, over some slides at most. */
export function table(sheet: Sheet, { caption, columns, rows: records }: TableBlock): void {
  rows(
    sheet,
    caption,
    [columns.map((c) => c.label)],
    records.map((row) => ({
      cells: columns.map((c) => cellText(row[c.field], c.format, c.decimals)),
      ink: INK,
    })),
    widthsOf(
      columns.map((c) => [c.label, ...records.map((row) => cellText(row[c.field], c.format, c.decimals))]),
    ),
    columns.map((c) => (c.format === 'text' ? 'left' : 'right')),
  )
}

/** Room for each column by the longest of its texts; a long sentence wraps before it takes the others' room. */
function widthsOf(columns: readonly (readonly string[])[]): number[] {
  const wants = columns.map((texts) => 4 + Math.min(56, Math.max(...texts.map((t) => t.length))))
  const sum = wants.reduce((a, b) => a + b, 0)
  return wants.map((w) => (BODY * w) / sum)
}

function rows(
  sheet: Sheet,
  caption: string,
  head: readonly (readonly string[])[],
  body: readonly { readonly cells: readonly string[]; readonly ink: string }[],
  widths: readonly number[],
  align: readonly ('left' | 'right')[],
): void {
  const heights = body.map(
    ({ cells }) =>
      0.08 + (ROW_HEIGHT - 0.08) * Math.max(1, ...cells.map((c, i) => linesOf(c, widths[i]! * 10.8))),
  )
  let from = 0
  for (let slides = 0; from < body.length && slides < TABLE_SLIDES; slides++) {
    const slide = sheet.room(Math.min(2, 0.5 + ROW_HEIGHT * (body.length + 1)))
    if (caption) {
      slide.addText(slideText(caption) + (slides ? ' (continued)' : ''), {
        x: LEFT,
        y: sheet.y,
        w: BODY,
        h: 0.35,
        margin: 0,
        fontFace: SANS,
        fontSize: 14,
        bold: true,
        color: INK,
      })
      sheet.y += 0.38
    }
    let used = ROW_HEIGHT
    let to = from
    while (to < body.length && (to === from || sheet.y + used + heights[to]! <= BOTTOM - 0.3))
      used += heights[to++]!
    const cell = (text: string, i: number, color: string, bold: boolean): TableRow[number] => ({
      text: slideText(text),
      options: {
        align: align[i] ?? 'left',
        color,
        bold,
        border: [
          { type: 'none' },
          { type: 'none' },
          { type: 'solid', pt: 0.75, color: LINE },
          { type: 'none' },
        ],
      },
    })
    const table: TableRow[] = [
      ...head.map((cells) => cells.map((text, i) => cell(text, i, SOFT, true))),
      ...body.slice(from, to).map(({ cells, ink }) => cells.map((text, i) => cell(text, i, ink, false))),
    ]
    slide.addTable(table, {
      x: LEFT,
      y: sheet.y,
      w: BODY,
      colW: [...widths],
      fontFace: SANS,
      fontSize: 13,
      margin: [0.04, 0.14, 0.04, 0.04],
      valign: 'top',
    })
    sheet.y += used + 0.2
    from = to
    if (from < body.length) sheet.y = BOTTOM
  }
  if (from < body.length)
    sheet.slide?.addText(`${body.length - from} more rows on the page and in its CSV form.`, {
      x: LEFT,
      y: BOTTOM,
      w: BODY,
      h: 0.3,
      margin: 0,
      fontFace: SANS,
      fontSize: 11,
      italic: true,
      color: SOFT,
    })
}
