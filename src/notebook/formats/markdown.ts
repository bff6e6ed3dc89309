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

/**
 * A page as Markdown with its charts as PNG beside it.
 * @param folder name of the folder of pictures, as the text refers to it
 */
export async function markdownFiles(page: Page, folder: string, code: boolean): Promise<MarkdownFiles> {
  const parts: string[] = []
  const pictures: { name: string; content: Uint8Array }[] = []
  for (const cell of page.cells) {
    for (const leaf of leaves(cell.blocks)) {
      if (leaf.kind !== 'chart') {
        parts.push(leafMarkdown(leaf))
        continue
      }
      const { before, after } = chartWords(leaf.chart)
      const drawn = await drawChart(leaf.chart, 'c-')
      parts.push(before)
      if (drawn) {
        const name = `chart-${pictures.length + 1}.png`
        pictures.push({ name, content: await pngOf(drawn.wide) })
        parts.push(`![${markdownText(leaf.chart.description)}](${encodeURI(folder)}/${name})`)
      }
      parts.push(after)
      if (leaf.chart.table.rows.length > 0 && leaf.chart.table.rows.length <= SHOWN_BEHIND)
        parts.push(markdownTable(chartTable(leaf.chart)))
    }
    if (code && cell.code.trim()) parts.push(fenced(cell.code))
  }
  parts.push(provenanceMarkdown(page))
  return { text: `${parts.join('\n\n')}\n`, pictures }
}

/** Tables behind charts with more rows than this stand in the CSV form only. */
const SHOWN_BEHIND = 40

/** Code in a fence longer than any run of backticks within it. */
function fenced(code: string): string {
  const longest = Math.max(0, ...[...code.matchAll(/`+/g)].map((m) => m[0].length))
  const fence = '`'.repeat(Math.max(3, longest + 1))
  return `${fence}ts\n${code}\n${fence}`
}
