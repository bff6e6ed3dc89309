import { UserError } from '../../errors.ts'
import { drawChart } from '../draw.ts'
import { escapeHtml, slug } from '../html/escape.ts'
import { allBlocks, type Page } from '../page.ts'
import type { FormFile } from './index.ts'
import { outlinedSvg, pngOf } from './picture.ts'

export type PictureForm = 'png' | 'svg'

export interface ChartPictureOptions {
  readonly forms: readonly PictureForm[]
  /** Number of the one chart that is wanted, from 1; all where not said. */
  readonly only?: number
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

/**
 * The charts of a page as pictures, fonts included: the same bytes on every machine.
 * @throws UserError where the page has no such chart
 */
export async function chartPictures(page: Page, options: ChartPictureOptions): Promise<FormFile[]> {
  const charts = page.cells
    .flatMap(({ blocks }) => [...allBlocks(blocks)])
    .flatMap((block) => (block.kind === 'chart' && block.chart.spec ? [block.chart] : []))
  const { only } = options
  if (charts.length === 0 || (only !== undefined && !charts[only - 1]))
    throw new UserError(
      `The page has ${charts.length} charts${charts.map((c, i) => `\n  ${i + 1}  ${c.title}`).join('')}\n${
        charts.length ? 'Choose one of these with --only.' : 'There is nothing to draw.'
      }`,
      { exitCode: 2 },
    )
  const files: FormFile[] = []
  for (const [i, chart] of charts.entries()) {
    if (only !== undefined && i !== only - 1) continue
    const drawn = (await drawChart(chart, 'c-'))?.wide ?? ''
    const name = `chart-${i + 1}-${slug(chart.title).slice(0, 60).replace(/-$/, '')}`
    for (const form of options.forms)
      files.push({
        path: `${name}.${form}`,
        content:
          form === 'png'
            ? await pngOf(drawn, { scale: options.scale })
            : await svgFile(drawn, chart.title, chart.description),
      })
  }
  return files
}
