import type { Chart } from '../../charts/index.ts'
import type { Block, Entry, Figure, TableBlock } from '../blocks.ts'
import { compiledSpec, drawChart } from '../draw.ts'
import { escapeHtml, slug } from './escape.ts'
import type { LiveChart } from './live/specs.ts'
import { inlineHtml, markdownHtml } from './markdown.ts'
import { tableHtml } from './table.ts'

/** Counts what has been written, so that ids are unique and the same every time. */
export interface Numbering {
  charts: number
  /** Names of the choices met, with how many options each has. */
  readonly choices: Map<string, readonly string[]>
  /** The charts that can come alive, by their ids; null where the page carries no runtime. */
  readonly live: Map<string, LiveChart> | null
}

export const numbering = (live = true): Numbering => ({
  charts: 0,
  choices: new Map(),
  live: live ? new Map() : null,
})

/** The table behind a chart. */
export const chartTable = (chart: Chart): TableBlock => ({
  kind: 'table',
  caption: '',
  columns: chart.table.columns.map((c) => ({
    field: c.field,
    label: c.label,
    format: c.decimals === undefined ? 'text' : 'number',
    decimals: c.decimals ?? 0,
  })),
  rows: chart.table.rows,
  rowTimes: chart.table.rows.map(({ date }) => (typeof date === 'number' ? date : null)),
})

/** An SVG as a picture that a screen reader can speak: role, title and description on its root. */
const described = (svg: string, id: string, layout: string, chart: Chart): string =>
  svg
    .replace(/ xmlns:xlink="[^"]*"/, '')
    // A container whose marks say nothing is no picture of its own.
    .replace(/ role="graphics-symbol" aria-roledescription="[a-z]+ mark container"/g, ' aria-hidden="true"')
    .replace('<svg ', `<svg role="img" aria-labelledby="${id}-${layout}-t ${id}-${layout}-d" `)
    .replace(
      /^(<svg [^>]*>)/,
      `$1<title id="${id}-${layout}-t">${escapeHtml(chart.title)}</title><desc id="${id}-${layout}-d">${escapeHtml(chart.description)}</desc>`,
    )

async function chartHtml(chart: Chart, numbers: Numbering): Promise<string> {
  const id = `chart-${++numbers.charts}`
  const drawn = await drawChart(chart, `${id}-`)
  const picture = drawn
    ? `<div class="drawing"><div class="wide">${described(drawn.wide, id, 'w', chart)}</div><div class="narrow">${described(drawn.narrow, id, 'n', chart)}</div></div>`
    : '<p class="nothing">Nothing to draw.</p>'
  if (drawn && numbers.live && chart.spec && chart.narrow)
    numbers.live.set(id, {
      wide: await compiledSpec(chart.spec, chart.title),
      narrow: await compiledSpec(chart.narrow, chart.title),
    })
  const rows = chart.table.rows.length
  const behind = rows
    ? `<details><summary>The table behind this (${rows} rows)</summary>${tableHtml(chartTable(chart))}</details>`
    : ''
  return `<figure id="${id}"><h3 class="finding">${escapeHtml(chart.title)}</h3><p class="who">${escapeHtml(chart.subtitle)}</p>${picture}<p class="reading">${escapeHtml(chart.reading)}</p>${behind}</figure>`
}

const linked = (text: string, href: string | undefined): string =>
  href?.startsWith('#') ? `<a href="${escapeHtml(href)}">${escapeHtml(text)}</a>` : escapeHtml(text)

const tileHtml = (f: Figure): string =>
  `<li class="tile"><span class="label">${linked(f.label, f.href)}</span><span class="value">${escapeHtml(f.value)}</span>${
    f.interval ? `<span class="interval">${escapeHtml(f.interval)}</span>` : ''
  }${f.note ? `<span class="note">${escapeHtml(f.note)}</span>` : ''}</li>`

function entryHtml(e: Entry): string {
  const lines = e.lines?.length ? `<ul>${e.lines.map((l) => `<li>${escapeHtml(l)}</li>`).join('')}</ul>` : ''
  const flag = e.flag ? `<span class="flag">${escapeHtml(e.flag)}</span>` : ''
  const under = e.under ? `<span class="under">${escapeHtml(e.under)}</span>` : ''
  return `<li class="${e.tone ?? 'plain'}"${e.id ? ` id="${escapeHtml(e.id)}"` : ''}><div class="who">${linked(e.title, e.href)}${under}</div><div class="why">${flag}${escapeHtml(e.lead)}${lines}</div></li>`
}

function entriesHtml(items: readonly Entry[], shown: number, caption: string): string {
  const list = (some: readonly Entry[]): string =>
    `<ol class="entries">${some.map(entryHtml).join('\n')}</ol>`
  const title = caption ? `<h3>${escapeHtml(caption)}</h3>` : ''
  if (items.length === 0) return `${title}<p>Nobody.</p>`
  const rest = items.slice(shown)
  return `${title}${list(items.slice(0, shown))}${rest.length ? `<details class="print"><summary>${rest.length} more</summary>${list(rest)}</details>` : ''}`
}

async function choiceHtml(block: Extract<Block, { kind: 'choice' }>, numbers: Numbering): Promise<string> {
  const name = slug(block.name)
  const first = !numbers.choices.has(name)
  if (first)
    numbers.choices.set(
      name,
      block.options.map((o) => o.label),
    )
  const bar = first
    ? `<fieldset class="choice"><legend>${escapeHtml(block.name)}</legend>${block.options
        .map(
          (o, i) =>
            `<span><input type="radio" name="${name}" id="${name}-${i}"${i === 0 ? ' checked' : ''}><label for="${name}-${i}">${escapeHtml(o.label)}</label></span>`,
        )
        .join('')}</fieldset>`
    : ''
  const parts: string[] = []
  for (const [i, option] of block.options.entries())
    parts.push(`<div class="option ${name}-is-${i}">${await blocksHtml(option.blocks, numbers)}</div>`)
  return bar + parts.join('\n')
}

async function blockHtml(block: Block, numbers: Numbering): Promise<string> {
  switch (block.kind) {
    case 'markdown':
      return markdownHtml(block.text)
    case 'chart':
      return chartHtml(block.chart, numbers)
    case 'table':
      return tableHtml(block)
    case 'figures':
      return `<ul class="tiles">${block.items.map(tileHtml).join('')}</ul>`
    case 'notice':
      return `<div class="notice ${block.tone}" role="note"><strong class="head">${inlineHtml(block.title)}</strong>${markdownHtml(block.text)}</div>`
    case 'entries':
      return entriesHtml(block.items, block.shown, block.caption)
    case 'grid':
      return `<div class="grid">${await blocksHtml(block.blocks, numbers, (html) => `<div>${html}</div>`)}</div>`
    case 'folded':
      return `<details><summary>${inlineHtml(block.title)}</summary>${await blocksHtml(block.blocks, numbers)}</details>`
    case 'choice':
      return choiceHtml(block, numbers)
  }
}

/** Blocks in order. */
export async function blocksHtml(
  blocks: readonly Block[],
  numbers: Numbering,
  wrap: (html: string) => string = (html) => html,
): Promise<string> {
  const out: string[] = []
  for (const block of blocks) out.push(wrap(await blockHtml(block, numbers)))
  return out.join('\n')
}

/** Which option of each choice is shown, by the radio that is checked: no script needed. */
export const choiceStyle = ({ choices }: Numbering): string =>
  [...choices]
    .flatMap(([name, options]) =>
      options.map(
        (_, i) =>
          `body:has(#${name}-${i}:checked) .option[class*="${name}-is-"]:not(.${name}-is-${i}){display:none}`,
      ),
    )
    .join('\n')
