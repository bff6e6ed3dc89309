import * as vega from 'vega'
import { type LoggerInterface, parse, resetSVGDefIds, type Spec, View } from 'vega'
import { expressionInterpreter } from 'vega-interpreter'
import { compile } from 'vega-lite'
import { type Chart, type ChartSpec, checkSpec, THEME } from '../charts/index.ts'
import { UserError } from '../errors.ts'

/**
 * Widths of printable ASCII in a common sans serif (Helvetica, Adobe font metrics AFM 1990, thousandths of an em).
 * Without a canvas Vega guesses 0.8 em a letter, which is half as wide again as the letters are, and cuts labels short.
 */
export const LETTER_WIDTHS: readonly number[] = [
  278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
  556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
  500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
  556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
  278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
]
/** Width of a letter that the table does not have. */
export const OTHER_WIDTH = 600
/** A little room, since the reader's font may be wider. */
export const ROOM = 1.2

/** A specification as Vega takes it, compiled from Vega-Lite. */
export type VegaSpec = Spec

const textWidth = (text: string, size: number): number => {
  let sum = 0
  for (const letter of text) sum += LETTER_WIDTHS[letter.charCodeAt(0) - 32] ?? OTHER_WIDTH
  return (sum * size * ROOM) / 1000
}

interface TextItem {
  readonly fontSize?: number
  readonly text?: unknown
  /** Widest the text may become before it is cut. */
  readonly limit?: number
}

// Vega re-exports this hook of its scene graph, but its types leave it out.
const { textMetrics } = vega as unknown as {
  textMetrics: { width: (item: TextItem, text?: unknown) => number }
}
textMetrics.width = (item, text) => {
  const width = textWidth(String(text ?? item.text ?? ''), item.fontSize ?? 11)
  return item.limit ? Math.min(item.limit, width) : width
}

/** A drawing that warns is a fault of its specification. */
export class ChartFault extends UserError {}

interface Drawing {
  /** The compiled specification as JSON. */
  readonly compiled: string
  svg: string | null
}

/**
 * Draws a specification to SVG, by the interpreter alone. Ids within are made unique by `prefix`.
 * @throws ChartFault that names the chart where the specification names data it does not hold, or draws with a warning
 */
export async function drawSvg(spec: ChartSpec, title: string, prefix: string): Promise<string> {
  const drawing = drawingOf(spec, title)
  drawing.svg ??= await render(drawing.compiled, title)
  return uniqueIds(drawing.svg, prefix)
}

/**
 * The specification compiled for Vega's runtime, which brings the drawing to life. A third of the work of drawing it.
 * @throws ChartFault as {@link drawSvg}
 */
export const compiledSpec = (spec: ChartSpec, title: string): VegaSpec =>
  JSON.parse(drawingOf(spec, title).compiled) as VegaSpec

/** Drawings by specification: several forms of a page, and the pages of `watch`, show the same charts again. */
const drawings = new Map<string, Drawing>()
const MOST_DRAWINGS = 1000

function drawingOf(spec: ChartSpec, title: string): Drawing {
  const key = JSON.stringify(spec)
  const known = drawings.get(key)
  if (known) return known
  if (drawings.size >= MOST_DRAWINGS) drawings.clear()
  const drawing = { compiled: compiledAnew(spec, title), svg: null }
  drawings.set(key, drawing)
  return drawing
}

/** Gathers what a library warns of; whoever draws then refuses the chart. */
function faultLogger(): { readonly faults: string[]; readonly logger: LoggerInterface } {
  const faults: string[] = []
  const note = (...words: readonly unknown[]): LoggerInterface => {
    faults.push(words.join(' '))
    return logger
  }
  const logger = {
    level: () => logger,
    warn: note,
    error: note,
    info: () => logger,
    debug: () => logger,
  } as LoggerInterface
  return { faults, logger }
}

function refuse(title: string, faults: readonly string[]): void {
  if (faults.length > 0)
    throw new ChartFault(
      `The chart "${title}" cannot be drawn as it is: ${faults.map((fault) => fault.replace(/\.$/, '')).join('; ')}.${faults.some((fault) => fault.includes('discrete height')) ? ' Say its height in pixels, such as 26 for each row.' : ''}`,
    )
}

function compiledAnew(spec: ChartSpec, title: string): string {
  refuse(title, checkSpec(spec))
  const { faults, logger } = faultLogger()
  const compiled = JSON.stringify(compile(spec, { config: THEME, logger }).spec)
  refuse(title, faults)
  return compiled
}

/** Letters that XML 1.0 (section 2.2) does not have, such as control codes and half a surrogate pair: no reader takes a drawing with one. */
const NO_XML =
  /[\u0000-\u0008\u000B\u000C\u000E-\u001F\uFFFE\uFFFF]|[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/g

async function render(compiled: string, title: string): Promise<string> {
  const { faults, logger } = faultLogger()
  resetSVGDefIds()
  const view = new View(parse(JSON.parse(compiled) as VegaSpec, undefined, { ast: true }), {
    renderer: 'none',
    expr: expressionInterpreter,
    logger,
  })
  const svg = await view.toSVG()
  view.finalize()
  refuse(title, faults)
  return svg.replace(NO_XML, '\uFFFD')
}

const uniqueIds = (svg: string, prefix: string): string =>
  svg.replace(/id="([\w-]+)"/g, `id="${prefix}$1"`).replace(/url\(#([\w-]+)\)/g, `url(#${prefix}$1)`)

/** Both layouts of a chart, or null where there is nothing to draw. */
export async function drawChart(
  chart: Chart,
  prefix: string,
): Promise<{ readonly wide: string; readonly narrow: string } | null> {
  if (!chart.spec || !chart.narrow) return null
  return {
    wide: await drawSvg(chart.spec, chart.title, `${prefix}w-`),
    narrow: await drawSvg(chart.narrow, chart.title, `${prefix}n-`),
  }
}
