import type pptxgen from 'pptxgenjs'
import type { Figure, Tone } from '../blocks.ts'
import {
  ACCENT,
  BODY,
  INK,
  LEFT,
  LETTERS,
  LINE,
  LINE_HEIGHT,
  linesOf,
  plainOf,
  SANS,
  SERIF,
  type Sheet,
  SOFT,
} from './pptx-sheet.ts'
import { type Paragraph, slideParagraphs, slideText } from './pptx-text.ts'

type TextProps = pptxgen.default.TextProps

const TILES = 4
export const TONES: Readonly<Record<Tone, { readonly ink: string; readonly ground: string }>> = {
  urgent: { ink: '9B1C31', ground: 'FBE9EB' },
  caution: { ink: '6D4A00', ground: 'FBF1D8' },
  plain: { ink: ACCENT, ground: 'E3EFEA' },
}

/** Paragraphs and lists; a heading of the second depth begins a new slide where there is more than a few words on this one. */
export function prose(sheet: Sheet, paragraphs: readonly Paragraph[]): void {
  for (const p of paragraphs) {
    const text = plainOf(p.runs)
    if (p.kind === 'heading') {
      if (p.depth === 2) sheet.begin(text)
      else if (p.depth > 2) sheet.section = text
      continue
    }
    const height = linesOf(text) * LINE_HEIGHT + 0.1
    const slide = sheet.wordsRoom(height)
    const runs: TextProps[] = p.runs.map((r) => ({
      text: r.text,
      options: { bold: r.bold ?? false, italic: r.italic ?? false },
    }))
    const bullet = p.kind === 'item' ? { bullet: true, indentLevel: Math.min(p.depth, 4) } : {}
    slide.addText(
      runs.map((r, i) => (i === 0 ? { ...r, options: { ...r.options, ...bullet } } : r)),
      {
        x: LEFT,
        y: sheet.y,
        w: BODY,
        h: height,
        margin: 0,
        fontFace: SANS,
        fontSize: 16,
        color: INK,
        valign: 'top',
      },
    )
    sheet.y += height
  }
}

/** Figures as tiles. */
export function figures(sheet: Sheet, items: readonly Figure[]): void {
  for (let from = 0; from < items.length; from += TILES) {
    const row = items.slice(from, from + TILES)
    const slide = sheet.room(1.75)
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
          y: sheet.y,
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
    sheet.y += 1.8
  }
}

/** A notice on its ground. */
export function notice(sheet: Sheet, tone: Tone, title: string, text: string): void {
  const words = slideParagraphs(text)
    .map((p) => plainOf(p.runs))
    .join('\n')
  const height = 0.6 + linesOf(words, LETTERS - 6) * LINE_HEIGHT
  const slide = sheet.room(height)
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
      y: sheet.y,
      w: BODY,
      h: height,
      fontFace: SANS,
      fontSize: 15,
      valign: 'middle',
      fill: { color: ground },
      fit: 'shrink',
    },
  )
  sheet.y += height + 0.15
}
