import type { Chart } from '../../charts/index.ts'
import { UserError } from '../../errors.ts'
import { drawChart } from '../draw.ts'
import { chartTable } from '../html/blocks.ts'
import { escapeHtml, slug } from '../html/escape.ts'
import { allBlocks, type Page } from '../page.ts'
import { csvOf } from './csv.ts'
import type { FormFile } from './index.ts'
import { outlinedSvg, pngOf } from './picture.ts'

/** A picture, or the table behind it. */
export type PictureForm = 'png' | 'svg' | 'csv'

export interface ChartPictureOptions {
  readonly forms: readonly PictureForm[]
  /** The one chart that is wanted, by its number from 1 or by words of its title; all where not said. */
  readonly only?: string
  /** PNG pixels for each pixel of the drawing. */
  readonly scale: number
}

/** The drawing alone, letters as outlines, with the words that a screen reader speaks. */
async function svgFile(svg: string, title: string, description: string): Promise<string> {
  const outlined = await outlinedSvg(svg)
  return outlined.replace(
    /<svg ([^>]*)>/,
    (_, attributes: string) =>
      `<svg role="img" ${attributes}><title>${escapeHtml(title)}</title><desc>${escapeHtml(description)}</desc>`,
  )
}

/** The place of the chart that is wanted, by number or by words of its title in any case. */
function placeOf(charts: readonly Chart[], only: string): number {
  if (/^\d+$/.test(only)) return charts[Number(only) - 1] ? Number(only) - 1 : -1
  const wanted = only.trim().toLowerCase()
  const found = charts.flatMap((c, i) => (wanted && c.title.toLowerCase().includes(wanted) ? [i] : []))
  return found.length === 1 ? found[0]! : -1
}

const listed = (charts: readonly Chart[]): string =>
  `The page has ${charts.length} charts${charts.map((c, i) => `\n  ${i + 1}  ${c.title}`).join('')}\n`

async function fileOf(chart: Chart, form: PictureForm, scale: number): Promise<FormFile['content']> {
  if (form === 'csv') {
    const { columns, rows } = chartTable(chart)
    return csvOf(
      columns.map((c) => c.field),
      rows,
    )
  }
  const { wide } = (await drawChart(chart, 'c-'))!
  return form === 'png' ? pngOf(wide, { scale }) : svgFile(wide, chart.title, chart.description)
}

/**
 * The charts of a page as pictures, fonts included, and the tables behind them: the same bytes on every machine.
 * @throws UserError that lists the charts there are, where the page has no such chart or more than one
 */
export async function chartPictures(page: Page, options: ChartPictureOptions): Promise<FormFile[]> {
  const charts = page.cells
    .flatMap(({ blocks }) => [...allBlocks(blocks)])
    .flatMap((block) => (block.kind === 'chart' && block.chart.spec ? [block.chart] : []))
  const { only } = options
  if (charts.length === 0) throw new UserError(`${listed(charts)}There is nothing to draw.`, { exitCode: 2 })
  const place = only === undefined ? null : placeOf(charts, only)
  if (place === -1)
    throw new UserError(
      `No one chart is meant by "${only}". ${listed(charts)}Choose one of these with --only, by its number or by words of its title.`,
      { exitCode: 2 },
    )
  const files: FormFile[] = []
  for (const [i, chart] of charts.entries()) {
    if (place !== null && i !== place) continue
    const name = `chart-${i + 1}-${slug(chart.title).slice(0, 60).replace(/-$/, '')}`
    for (const form of options.forms)
      files.push({ path: `${name}.${form}`, content: await fileOf(chart, form, options.scale) })
  }
  return files
}
