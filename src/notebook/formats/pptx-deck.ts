import type pptxgen from 'pptxgenjs'
import type { Chart } from '../../charts/index.ts'
import type { Entry, Figure, TableBlock, Tone } from '../blocks.ts'
import { drawChart } from '../draw.ts'
import { cellText } from '../html/table.ts'
import type { Provenance } from '../page.ts'
import type { Leaf } from './leaves.ts'
import { pngOf, sizeOf } from './picture.ts'
import { type Paragraph, type Run, slideParagraphs, slideText } from './pptx-text.ts'

type Presentation = pptxgen.default
type Slide = pptxgen.default.Slide
type TextProps = pptxgen.default.TextProps
type TableRow = pptxgen.default.TableRow

const PAPER = 'FBFAF6'
const INK = '1D2327'
const SOFT = '566068'
const LINE = 'D9DCD6'
const ACCENT = '0E5A4F'
const TONES: Readonly<Record<Tone, { readonly ink: string; readonly ground: string }>> = {
  urgent: { ink: '9B1C31', ground: 'FBE9EB' },
  caution: { ink: '6D4A00', ground: 'FBF1D8' },
  plain: { ink: ACCENT, ground: 'E3EFEA' },
}
const SERIF = 'Georgia'
const SANS = 'Arial'

/** Inches: a 16 : 9 slide with its margins. */
const WIDTH = 13.333
const LEFT = 0.6
const BODY = WIDTH - 2 * LEFT
const TOP = 1.3
const BOTTOM = 7.05
/** Letters on a line of 16 point across the body, and the height of such a line. */
const LETTERS = 118
const LINE_HEIGHT = 0.31
const ROW_HEIGHT = 0.33
const TABLE_SLIDES = 3
const TILES = 4

const linesOf = (text: string, letters = LETTERS): number => Math.max(1, Math.ceil(text.length / letters))
const plainOf = (runs: readonly Run[]): string => runs.map((r) => r.text).join('')

/** Puts blocks on slides one under another, and begins a new slide under the same heading where one does not fit. */
export class Deck {
  private readonly presentation: Presentation
  private section: string
  private slide: Slide | null = null
  private y = BOTTOM

  constructor(presentation: Presentation, title: string) {
    this.presentation = presentation
    this.section = slideText(title)
    presentation.layout = 'LAYOUT_WIDE'
    presentation.title = slideText(title)
    presentation.author = 'Waneline'
    presentation.company = ''
    presentation.theme = { headFontFace: SERIF, bodyFontFace: SANS }
    this.titleSlide(slideText(title))
  }

  private titleSlide(title: string): void {
    const slide = this.presentation.addSlide()
    slide.background = { color: PAPER }
    slide.addShape('rect', { x: 0, y: 0, w: 0.22, h: 7.5, fill: { color: ACCENT } })
    slide.addText(title, {
      x: 0.9,
      y: 2.2,
      w: 11.5,
      h: 1.6,
      fontFace: SERIF,
      fontSize: 40,
      bold: true,
      color: INK,
      valign: 'bottom',
      fit: 'shrink',
    })
    this.slide = slide
    this.y = 4
  }

  private fresh(heading = this.section, under = ''): Slide {
    const slide = this.presentation.addSlide()
    slide.background = { color: PAPER }
    slide.addShape('line', { x: LEFT, y: 0.38, w: BODY, h: 0, line: { color: ACCENT, width: 1.5 } })
    slide.addText(slideText(heading), {
      x: LEFT,
      y: 0.42,
      w: BODY,
      h: 0.55,
      margin: 0,
      fontFace: SERIF,
      fontSize: 24,
      bold: true,
      color: INK,
      valign: 'middle',
      fit: 'shrink',
    })
    if (under)
      slide.addText(slideText(under), {
        x: LEFT,
        y: 0.95,
        w: BODY,
        h: 0.3,
        margin: 0,
        fontFace: SANS,
        fontSize: 13,
        color: SOFT,
      })
    this.slide = slide
    this.y = TOP
    return slide
  }

  /** The slide to write on, with room for so many inches. */
  private room(inches: number): Slide {
    return this.slide && this.y + inches <= BOTTOM ? this.slide : this.fresh()
  }

  /** Adds a block that holds no others. */
  async add(leaf: Leaf): Promise<void> {
    switch (leaf.kind) {
      case 'markdown':
        return this.prose(slideParagraphs(leaf.text))
      case 'chart':
        return this.chart(leaf.chart)
      case 'table':
        return this.table(leaf)
      case 'figures':
        return this.figures(leaf.items)
      case 'notice':
        return this.notice(leaf.tone, leaf.title, leaf.text)
      case 'entries':
        return this.entries(leaf.caption, leaf.items)
    }
  }

  private prose(paragraphs: readonly Paragraph[]): void {
    for (const p of paragraphs) {
      const text = plainOf(p.runs)
      if (p.kind === 'heading') {
        if (p.depth > 1) this.section = text
        if (p.depth === 2) this.y = BOTTOM
        continue
      }
      const height = linesOf(text) * LINE_HEIGHT + 0.1
      const slide = this.room(height)
      const runs: TextProps[] = p.runs.map((r) => ({
        text: r.text,
        options: { bold: r.bold ?? false, italic: r.italic ?? false },
      }))
      const bullet = p.kind === 'item' ? { bullet: true, indentLevel: Math.min(p.depth, 4) } : {}
      slide.addText(
        runs.map((r, i) => (i === 0 ? { ...r, options: { ...r.options, ...bullet } } : r)),
        {
          x: LEFT,
          y: this.y,
          w: BODY,
          h: height,
          margin: 0,
          fontFace: SANS,
          fontSize: 16,
          color: INK,
          valign: 'top',
        },
      )
      this.y += height
    }
  }

  private async chart(chart: Chart): Promise<void> {
    const slide = this.fresh(chart.title, chart.subtitle)
    const drawn = await drawChart(chart, 'c-')
    if (drawn) {
      const { width, height } = sizeOf(drawn.wide)
      const png = await pngOf(drawn.wide, { scale: 3, background: `#${PAPER}` })
      const scale = Math.min(BODY / width, 4.9 / height)
      slide.addImage({
        data: `image/png;base64,${Buffer.from(png).toString('base64')}`,
        x: LEFT + (BODY - width * scale) / 2,
        y: TOP + 0.1,
        w: width * scale,
        h: height * scale,
        altText: slideText(chart.description),
      })
    }
    slide.addText(slideText(chart.reading), {
      x: LEFT,
      y: 6.4,
      w: BODY,
      h: 0.7,
      margin: 0,
      fontFace: SANS,
      fontSize: 12,
      color: SOFT,
      valign: 'top',
      fit: 'shrink',
    })
    this.y = BOTTOM
  }

  private figures(items: readonly Figure[]): void {
    for (let from = 0; from < items.length; from += TILES) {
      const row = items.slice(from, from + TILES)
      const slide = this.room(1.75)
      const width = (BODY - (TILES - 1) * 0.2) / TILES
      row.forEach((f, i) => {
        const under = [f.interval, f.note].filter(Boolean).join('\n')
        slide.addText(
          [
            { text: slideText(f.label), options: { fontSize: 12, color: SOFT, breakLine: true } },
            {
              text: slideText(f.value),
              options: { fontSize: 26, bold: true, fontFace: SERIF, color: INK, breakLine: true },
            },
            { text: slideText(under), options: { fontSize: 11, color: SOFT } },
          ],
          {
            x: LEFT + i * (width + 0.2),
            y: this.y,
            w: width,
            h: 1.6,
            fontFace: SANS,
            valign: 'top',
            fill: { color: 'FFFFFF' },
            line: { color: LINE, width: 0.75 },
            shape: 'rect',
            fit: 'shrink',
          },
        )
      })
      this.y += 1.8
    }
  }

  private notice(tone: Tone, title: string, text: string): void {
    const words = slideParagraphs(text)
      .map((p) => plainOf(p.runs))
      .join('\n')
    const height = 0.6 + linesOf(words, LETTERS - 6) * LINE_HEIGHT
    const slide = this.room(height)
    const { ink, ground } = TONES[tone]
    slide.addText(
      [
        {
          text: plainOf(slideParagraphs(title).flatMap((p) => p.runs)),
          options: { bold: true, color: ink, breakLine: true },
        },
        { text: words, options: { color: INK } },
      ],
      {
        x: LEFT,
        y: this.y,
        w: BODY,
        h: height,
        fontFace: SANS,
        fontSize: 15,
        valign: 'middle',
        fill: { color: ground },
        fit: 'shrink',
      },
    )
    this.y += height + 0.15
  }

  private entries(caption: string, items: readonly Entry[]): void {
    if (items.length === 0)
      this.prose([{ kind: 'text', depth: 0, runs: [{ text: `${caption}: nobody.`, bold: true }] }])
    else
      this.rows(
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

  private table({ caption, columns, rows }: TableBlock): void {
    this.rows(
      caption,
      [columns.map((c) => c.label)],
      rows.map((row) => ({
        cells: columns.map((c) => cellText(row[c.field], c.format, c.decimals)),
        ink: INK,
      })),
      columns.map(() => BODY / columns.length),
      columns.map((c) => (c.format === 'text' ? 'left' : 'right')),
    )
  }

  private rows(
    caption: string,
    head: readonly (readonly string[])[],
    body: readonly { readonly cells: readonly string[]; readonly ink: string }[],
    widths: readonly number[],
    align: readonly ('left' | 'right')[],
  ): void {
    const heights = body.map(
      ({ cells }) =>
        0.08 + (ROW_HEIGHT - 0.08) * Math.max(1, ...cells.map((c, i) => linesOf(c, widths[i]! * 11.5))),
    )
    let from = 0
    for (let slides = 0; from < body.length && slides < TABLE_SLIDES; slides++) {
      const slide = this.room(Math.min(2, 0.5 + ROW_HEIGHT * (body.length + 1)))
      if (caption) {
        slide.addText(slideText(caption) + (slides ? ' (continued)' : ''), {
          x: LEFT,
          y: this.y,
          w: BODY,
          h: 0.35,
          margin: 0,
          fontFace: SANS,
          fontSize: 14,
          bold: true,
          color: INK,
        })
        this.y += 0.38
      }
      let used = ROW_HEIGHT
      let to = from
      while (to < body.length && (to === from || this.y + used + heights[to]! <= BOTTOM - 0.3))
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
        y: this.y,
        w: BODY,
        colW: [...widths],
        fontFace: SANS,
        fontSize: 11,
        margin: 0.04,
        valign: 'top',
      })
      this.y += used + 0.2
      from = to
      if (from < body.length) this.y = BOTTOM
    }
    if (from < body.length)
      this.slide?.addText(`${body.length - from} more rows on the page and in its CSV form.`, {
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

  /** The last slide: what the page was made from. */
  provenance(p: Provenance): void {
    this.section = 'What these slides were made from'
    this.y = BOTTOM
    const item = (text: string): Paragraph => ({ kind: 'item', depth: 0, runs: [{ text: slideText(text) }] })
    const records = p.inputs.reduce((sum, i) => sum + (i.records ?? 0), 0)
    this.prose([
      item(`Notebook ${p.notebook}, SHA-256 ${p.notebookSha256.slice(0, 16)}…`),
      item(`${p.inputs.length} input files, ${records} records`),
      ...p.parameters.map((x) => item(`${x.name}: ${x.value}`)),
      item(
        `Versions: ${Object.entries(p.versions)
          .map(([name, version]) => `${name} ${version}`)
          .join(', ')}`,
      ),
    ])
  }
}
