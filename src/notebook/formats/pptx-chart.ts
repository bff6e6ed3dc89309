import type { Chart } from '../../charts/index.ts'
import { drawChart } from '../draw.ts'
import { pngOf, sizeOf } from './picture.ts'
import {
  BODY,
  BOTTOM,
  INK,
  LEFT,
  PAPER,
  SANS,
  SERIF,
  type Sheet,
  type Slide,
  SOFT,
  TOP,
} from './pptx-sheet.ts'
import { slideText } from './pptx-text.ts'

/** Inches that a chart may be high, so that words have room below it. */
const TALLEST = 4.3
const GAP = 0.4
const READING = 0.5

interface Place {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Puts the picture of a chart in its place, as large as fits, and says how high it came out. */
async function picture(
  slide: Slide,
  chart: Chart,
  { x, y, width, height }: Place,
  layout: 'wide' | 'narrow' = 'wide',
): Promise<number> {
  const drawn = await drawChart(chart, 'c-')
  if (!drawn) return 0
  const size = sizeOf(drawn[layout])
  const png = await pngOf(drawn[layout], { scale: 3, background: `#${PAPER}` })
  const scale = Math.min(width / size.width, height / size.height)
  slide.addImage({
    data: `image/png;base64,${Buffer.from(png).toString('base64')}`,
    x: x + (width - size.width * scale) / 2,
    y,
    w: size.width * scale,
    h: size.height * scale,
    altText: slideText(chart.description),
  })
  return size.height * scale
}

function small(slide: Slide, text: string, place: Place, bold = false): void {
  slide.addText(slideText(text), {
    x: place.x,
    y: place.y,
    w: place.width,
    h: place.height,
    margin: 0,
    fontFace: bold ? SERIF : SANS,
    fontSize: bold ? 16 : 12,
    bold,
    color: bold ? INK : SOFT,
    valign: bold ? 'bottom' : 'top',
    fit: 'shrink',
  })
}

const notesOf = (charts: readonly Chart[]): string =>
  slideText(charts.map((c) => `${c.shows} ${c.description}`).join('\n\n'))

/** Under the picture: how to read it and what it cannot show. What it shows is said by its title, and in the notes. */
const under = ({ reading, limits }: Chart): string => `${reading} ${limits}`

/** A chart on a slide of its own under its finding, with how to read it; what it shows in words is in the notes. */
export async function chartSlide(sheet: Sheet, chart: Chart): Promise<void> {
  const slide = sheet.fresh(chart.title, chart.subtitle)
  const y = TOP + 0.1
  const height = await picture(slide, chart, { x: LEFT, y, width: BODY, height: TALLEST })
  small(slide, under(chart), { x: LEFT, y: y + height + 0.1, width: BODY, height: READING })
  slide.addNotes(notesOf([chart]))
  sheet.y = y + height + 0.1 + READING
}

/** Two or three charts that stand side by side on the page stand side by side here. */
export async function chartRow(sheet: Sheet, charts: readonly Chart[]): Promise<void> {
  const slide = sheet.fresh()
  const width = (BODY - (charts.length - 1) * GAP) / charts.length
  const layout = charts.length > 2 ? 'narrow' : 'wide'
  const heights: number[] = []
  for (const [i, chart] of charts.entries()) {
    const x = LEFT + i * (width + GAP)
    small(slide, chart.title, { x, y: TOP, width, height: 0.55 }, true)
    small(slide, chart.subtitle, { x, y: TOP + 0.58, width, height: 0.3 })
    heights.push(await picture(slide, chart, { x, y: TOP + 0.95, width, height: TALLEST - 1 }, layout))
  }
  const y = Math.min(TOP + 1.05 + Math.max(...heights), BOTTOM - 2 * READING)
  const readings = new Set(charts.map(under))
  if (readings.size === 1) small(slide, [...readings][0]!, { x: LEFT, y, width: BODY, height: READING })
  else
    for (const [i, chart] of charts.entries())
      small(slide, under(chart), { x: LEFT + i * (width + GAP), y, width, height: 2 * READING })
  slide.addNotes(notesOf(charts))
  sheet.y = y + Math.min(2, readings.size) * READING
}
