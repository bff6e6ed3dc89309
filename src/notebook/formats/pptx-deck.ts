import type pptxgen from 'pptxgenjs'
import type { Chart } from '../../charts/index.ts'
import type { Block } from '../blocks.ts'
import type { Provenance } from '../page.ts'
import { type Leaf, leaves } from './leaves.ts'
import { chartRow, chartSlide } from './pptx-chart.ts'
import { BOTTOM, Sheet } from './pptx-sheet.ts'
import { entries, table } from './pptx-table.ts'
import { type Paragraph, slideParagraphs, slideText } from './pptx-text.ts'
import { figures, notice, prose } from './pptx-words.ts'

/** The charts that go on one slide from here: two, or three where one would be left over. */
function chartsFrom(parts: readonly Leaf[], from: number): readonly Chart[] {
  const charts: Chart[] = []
  for (const part of parts.slice(from)) {
    if (part.kind !== 'chart') break
    charts.push(part.chart)
  }
  return charts.slice(0, charts.length === 3 ? 3 : 2)
}

/** Puts blocks on slides one under another, and begins a new slide under the same heading where one does not fit. */
export class Deck {
  private readonly sheet: Sheet

  constructor(presentation: pptxgen.default, title: string) {
    this.sheet = new Sheet(presentation, title)
  }

  /** Adds blocks; charts of a grid go in twos and, lest one is left over, threes. Of a choice, the first option; no folds. */
  async add(blocks: Iterable<Block>): Promise<void> {
    for (const block of blocks) {
      const parts = [...leaves([block], { choices: 'first', folds: false })]
      for (let i = 0; i < parts.length; ) {
        const row = block.kind === 'grid' ? chartsFrom(parts, i) : []
        if (row.length > 1) await chartRow(this.sheet, row)
        else await this.leaf(parts[i]!)
        i += Math.max(1, row.length)
      }
    }
  }

  private async leaf(leaf: Leaf): Promise<void> {
    const { sheet } = this
    switch (leaf.kind) {
      case 'markdown':
        return prose(sheet, slideParagraphs(leaf.text))
      case 'chart':
        return chartSlide(sheet, leaf.chart)
      case 'table':
        return table(sheet, leaf)
      case 'figures':
        return figures(sheet, leaf.items)
      case 'notice':
        return notice(sheet, leaf.tone, leaf.title, leaf.text)
      case 'entries':
        return entries(sheet, leaf.caption, leaf.items)
    }
  }

  /** The last slide: what the page was made from. */
  provenance(p: Provenance): void {
    this.sheet.section = 'What these slides were made from'
    this.sheet.y = BOTTOM
    const item = (text: string): Paragraph => ({ kind: 'item', depth: 0, runs: [{ text: slideText(text) }] })
    const records = p.inputs.reduce((sum, i) => sum + (i.records ?? 0), 0)
    const { waneline, node, ...others } = p.versions
    prose(this.sheet, [
      item(`Notebook ${p.notebook}, SHA-256 ${p.notebookSha256.slice(0, 16)}…`),
      item(`${p.inputs.length} input files, ${records.toLocaleString('en-GB')} records`),
      ...p.parameters.filter((x) => x.value !== '').map((x) => item(`${x.name}: ${x.value}`)),
      item(
        `waneline ${waneline}, node ${node}, and ${Object.keys(others).length} packages, whose versions the page names`,
      ),
    ])
  }
}
