import type { Chart } from '../../charts/index.ts'
import type { Entry, Figure, TableBlock } from '../blocks.ts'
import { drawChart } from '../draw.ts'
import { chartTable } from '../html/blocks.ts'
import { cellText } from '../html/table.ts'
import type { Page } from '../page.ts'
import { type Leaf, leaves } from './leaves.ts'
import { markdownText, plainMarkdown } from './markdown-text.ts'
import { pngOf } from './picture.ts'

/** A table in Markdown, as most viewers take it (GitHub Flavored Markdown, section 4.10). */
export function markdownTable({ caption, columns, rows }: TableBlock): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`
  return [
    ...(caption ? [`**${markdownText(caption)}**`, ''] : []),
    line(columns.map((c) => markdownText(c.label) || ' ')),
    line(columns.map((c) => (c.format === 'text' ? '---' : '---:'))),
    ...rows.map((row) =>
      line(columns.map((c) => markdownText(cellText(row[c.field], c.format, c.decimals)) || ' ')),
    ),
  ].join('\n')
}

const figureLine = (f: Figure): string =>
  `- ${markdownText(f.label)}: **${markdownText(f.value)}**${f.interval ? ` (${markdownText(f.interval)})` : ''}${f.note ? `. ${markdownText(f.note)}` : ''}`

const entryLines = (e: Entry): string =>
  [
    `- **${markdownText(e.title)}**${e.tone === 'urgent' ? ' (to be looked at today)' : ''}: ${markdownText(e.lead)}`,
    ...(e.lines ?? []).map((l) => `  - ${markdownText(l)}`),
  ].join('\n')

/** Words of a chart before and after its picture. */
export const chartWords = (chart: Chart): { readonly before: string; readonly after: string } => ({
  before: `**${markdownText(chart.title)}**\n\n${markdownText(chart.subtitle)}`,
  after: `*${markdownText(`${chart.shows} ${chart.reading} ${chart.limits}`)}*`,
})

/** A leaf that is no chart, as Markdown. */
export function leafMarkdown(leaf: Exclude<Leaf, { kind: 'chart' }>): string {
  switch (leaf.kind) {
    case 'markdown':
      return plainMarkdown(leaf.text)
    case 'table':
      return markdownTable(leaf)
    case 'figures':
      return leaf.items.map(figureLine).join('\n')
    case 'notice':
      return `${plainMarkdown(`**${leaf.title.replace(/\s+/g, ' ')}**`)}\n\n${plainMarkdown(leaf.text)}`
        .split('\n')
        .map((line) => `> ${line}`.trimEnd())
        .join('\n')
    case 'entries':
      return `${leaf.caption ? `**${markdownText(leaf.caption)}**\n\n` : ''}${leaf.items.map(entryLines).join('\n') || 'Nobody.'}`
  }
}

export function provenanceMarkdown({ provenance: p }: Page): string {
  const list = (items: readonly string[]): string => items.map((item) => `- ${item}`).join('\n')
  return [
    '## What this page was made from',
    list([
      `Notebook ${markdownText(p.notebook)}, SHA-256 \`${p.notebookSha256}\``,
      ...p.parameters.map((x) => `${markdownText(x.name)}: ${markdownText(x.value)}`),
      ...p.inputs.map(
        (i) =>
          `${markdownText(i.file)}: ${i.records ?? 'no'} records, ${i.bytes} bytes, SHA-256 \`${i.sha256}\``,
      ),
      `Versions: ${Object.entries(p.versions)
        .map(([name, version]) => markdownText(`${name} ${version}`))
        .join(', ')}`,
    ]),
  ].join('\n\n')
}

export interface MarkdownFiles {
  readonly text: string
  readonly pictures: readonly { readonly name: string; readonly content: Uint8Array }[]
}

export interface MarkdownOptions {
  /** Name of the folder of pictures, as the text refers to it. */
  readonly folder: string
  /** Whether the notebook's code is in it. */
  readonly code: boolean
}

/** A page as Markdown with its charts as PNG beside it. */
export async function markdownFiles(page: Page, { folder, code }: MarkdownOptions): Promise<MarkdownFiles> {
  const parts: string[] = []
  const pictures: { name: string; content: Uint8Array }[] = []
  /** Keeps the picture of a chart; gives the line that shows it, none where nothing is drawn. */
  const picture = async (chart: Chart): Promise<string[]> => {
    const drawn = await drawChart(chart, 'c-')
    if (!drawn) return []
    const name = `chart-${pictures.length + 1}.png`
    pictures.push({ name, content: await pngOf(drawn.wide) })
    return [`![${markdownText(chart.description)}](${encodeURI(folder)}/${name})`]
  }
  for (const cell of page.cells) {
    for (const leaf of leaves(cell.blocks))
      if (leaf.kind === 'chart') parts.push(...chartParts(leaf.chart, await picture(leaf.chart)))
      else parts.push(leafMarkdown(leaf))
    if (code && cell.code.trim()) parts.push(fenced(cell.code))
  }
  parts.push(provenanceMarkdown(page))
  return { text: `${parts.join('\n\n')}\n`, pictures }
}

/** Tables behind charts with more rows than this stand in the CSV form only. */
const SHOWN_BEHIND = 40

function chartParts(chart: Chart, picture: readonly string[]): string[] {
  const { before, after } = chartWords(chart)
  const { length } = chart.table.rows
  const table = length > 0 && length <= SHOWN_BEHIND ? [markdownTable(chartTable(chart))] : []
  return [before, ...picture, after, ...table]
}

/** Code in a fence longer than any run of backticks within it. */
function fenced(code: string): string {
  const longest = Math.max(0, ...[...code.matchAll(/`+/g)].map((m) => m[0].length))
  const fence = '`'.repeat(Math.max(3, longest + 1))
  return `${fence}ts\n${code}\n${fence}`
}
