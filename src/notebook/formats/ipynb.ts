import { createHash } from 'node:crypto'
import type { Chart, ChartSpec } from '../../charts/index.ts'
import { THEME } from '../../charts/index.ts'
import type { Block, TableBlock } from '../blocks.ts'
import { drawChart } from '../draw.ts'
import { chartTable } from '../html/blocks.ts'
import { escapeHtml } from '../html/escape.ts'
import { cellText } from '../html/table.ts'
import type { Page, PageCell } from '../page.ts'
import { leaves } from './leaves.ts'
import { chartWords, leafMarkdown, markdownTable, provenanceMarkdown } from './markdown.ts'
import { pngOf, sizeOf } from './picture.ts'

interface Output {
  readonly output_type: 'display_data'
  readonly data: Readonly<Record<string, unknown>>
  readonly metadata: Readonly<Record<string, unknown>>
}

interface Cell {
  readonly cell_type: 'markdown' | 'code'
  readonly id: string
  readonly metadata: Readonly<Record<string, unknown>>
  readonly source: readonly string[]
  readonly execution_count?: number
  readonly outputs?: readonly Output[]
}

/** Text as the format keeps it: one string a line, each with its line end. */
const lines = (text: string): string[] => text.match(/[^\n]*\n|[^\n]+$/g) ?? []

const display = (
  data: Readonly<Record<string, unknown>>,
  metadata: Readonly<Record<string, unknown>> = {},
): Output => ({ output_type: 'display_data', data, metadata })

const markdownOutput = (text: string): Output =>
  display({ 'text/markdown': lines(text), 'text/plain': lines(text) })

function tableHtml({ caption, columns, rows }: TableBlock): string {
  const align = (format: string): string => (format === 'text' ? 'left' : 'right')
  const head = columns
    .map((c) => `<th scope="col" align="${align(c.format)}">${escapeHtml(c.label)}</th>`)
    .join('')
  const body = rows
    .map(
      (row) =>
        `<tr>${columns
          .map(
            (c) =>
              `<td align="${align(c.format)}">${escapeHtml(cellText(row[c.field], c.format, c.decimals))}</td>`,
          )
          .join('')}</tr>`,
    )
    .join('\n')
  return `<table>${caption ? `<caption>${escapeHtml(caption)}</caption>` : ''}<thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table>`
}

const tableOutput = (table: TableBlock): Output =>
  display({ 'text/html': lines(tableHtml(table)), 'text/plain': lines(markdownTable(table)) })

/** A specification that stands alone: with our configuration, on paper, in ink. */
function standalone(spec: ChartSpec, version: 5 | 6): object {
  const own = 'config' in spec ? spec.config : {}
  const whole = {
    ...spec,
    $schema: `https://vega.github.io/schema/vega-lite/v${version}.json`,
    background: 'white',
    config: { ...THEME, ...own },
  }
  return JSON.parse(JSON.stringify(whole).replaceAll('"currentColor"', '"#1d2327"')) as object
}

async function chartOutputs(chart: Chart): Promise<Output[]> {
  const { before, after } = chartWords(chart)
  const outputs = [markdownOutput(before)]
  const drawn = await drawChart(chart, 'c-')
  if (drawn && chart.spec) {
    const png = await pngOf(drawn.wide)
    outputs.push(
      display(
        {
          'application/vnd.vegalite.v5+json': standalone(chart.spec, 5),
          'application/vnd.vegalite.v6+json': standalone(chart.spec, 6),
          'image/png': Buffer.from(png).toString('base64'),
          'text/plain': lines(chart.description),
        },
        { 'image/png': sizeOf(drawn.wide) },
      ),
    )
  }
  outputs.push(markdownOutput(after))
  const { rows } = chart.table
  if (rows.length > 0) {
    const table = chartTable(chart)
    outputs.push(
      display({
        'text/html': lines(
          `<details><summary>The table behind this (${rows.length} rows)</summary>${tableHtml(table)}</details>`,
        ),
        'text/plain': lines(markdownTable(table)),
      }),
    )
  }
  return outputs
}

async function outputsOf(blocks: readonly Block[]): Promise<Output[]> {
  const outputs: Output[] = []
  for (const leaf of leaves(blocks))
    if (leaf.kind === 'chart') outputs.push(...(await chartOutputs(leaf.chart)))
    else outputs.push(leaf.kind === 'table' ? tableOutput(leaf) : markdownOutput(leafMarkdown(leaf)))
  return outputs
}

/** An id that stays while the cell's text stays, so that two runs differ only where they differ. */
const idOf = (index: number, text: string): string =>
  `${index}-${createHash('sha256').update(text).digest('hex').slice(0, 12)}`

const markdownCell = (index: number, text: string): Cell => ({
  cell_type: 'markdown',
  id: idOf(index, text),
  metadata: {},
  source: lines(text),
})

/** Prose that stands first becomes cells of its own; what is shown becomes the outputs of the code. */
async function cellsOf(cell: PageCell, from: number, count: number, code: boolean): Promise<Cell[]> {
  const firstShown = cell.blocks.findIndex((b) => b.kind !== 'markdown')
  const prose = cell.blocks.slice(0, firstShown < 0 ? cell.blocks.length : firstShown)
  const cells = prose.map((b, i) => markdownCell(from + i, b.kind === 'markdown' ? leafMarkdown(b) : ''))
  const outputs = await outputsOf(cell.blocks.slice(prose.length))
  const source = code ? cell.code : ''
  if (!source.trim() && outputs.length === 0) return cells
  return [
    ...cells,
    {
      cell_type: 'code',
      id: idOf(from + cells.length, source),
      metadata: { jupyter: { source_hidden: true }, ...(cell.title ? { name: cell.title } : {}) },
      source: lines(source),
      execution_count: count,
      outputs,
    },
  ]
}

/**
 * A page as a Jupyter notebook (nbformat 4.5). Every chart carries its Vega-Lite specification and a PNG for viewers that
 * do not draw those; code is folded, or left out.
 */
export async function notebookJson(page: Page, { code }: { readonly code: boolean }): Promise<string> {
  const cells: Cell[] = []
  for (const cell of page.cells)
    cells.push(
      ...(await cellsOf(cell, cells.length, cells.filter((c) => c.cell_type === 'code').length + 1, code)),
    )
  cells.push(markdownCell(cells.length, provenanceMarkdown(page)))
  const notebook = {
    cells,
    metadata: {
      language_info: { name: 'typescript', file_extension: '.ts', mimetype: 'text/x-typescript' },
      title: page.title,
      waneline: page.provenance,
    },
    nbformat: 4,
    nbformat_minor: 5,
  }
  return `${JSON.stringify(notebook, null, 1)}\n`
}
