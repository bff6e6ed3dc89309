import type { Chart } from '../../charts/index.ts'
import type { Block, Figure, TableBlock } from '../blocks.ts'
import { compiledSpec, drawSvg } from '../draw.ts'
import { entriesHtml, linked } from './entries.ts'
import { escapeHtml, unbroken } from './escape.ts'
import { filtersHtml } from './filters.ts'
import { inlineHtml, markdownHtml } from './markdown.ts'
import { facetNumber, type Numbering } from './numbering.ts'
import { tableHtml } from './table.ts'

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

/** A drawing with more marks than this does not say each mark's record in its still form: alive it does. */
const MOST_LABELLED = 250
/** The same of a drawing that stays still: beyond this, labels weigh megabytes. */
const MOST_LABELLED_STILL = 1000
const MARK_LABEL =
  / aria-label="[^"]*" role="graphics-symbol" aria-roledescription="(?!axis|legend|title)[a-z ]+"/g

/** A drawing without digits past a hundredth of a pixel and without the labels of a cloud of marks. */
const lean = (svg: string, live: boolean): string => {
  const short = svg.replace(/ (?:d|transform)="[^"]*"/g, (shape) => shape.replace(/(\.\d\d)\d+/g, '$1'))
  const cloud = (short.match(MARK_LABEL)?.length ?? 0) > (live ? MOST_LABELLED : MOST_LABELLED_STILL)
  return cloud ? short.replace(MARK_LABEL, '').replace(/<path [^>]*opacity="0"\/>/g, '') : short
}

/** An SVG as a picture that a screen reader can speak: role, title and description on its root. */
const described = (drawn: string, id: string, layout: string, chart: Chart, live: boolean): string =>
  lean(drawn, live)
    .replace(/ xmlns:xlink="[^"]*"/, '')
    // A container whose marks say nothing is no picture of its own.
    .replace(/ role="graphics-symbol" aria-roledescription="[a-z]+ mark container"/g, ' aria-hidden="true"')
    .replace('<svg ', `<svg role="img" aria-labelledby="${id}-${layout}-t ${id}-${layout}-d" `)
    .replace(
      /^(<svg [^>]*>)/,
      `$1<title id="${id}-${layout}-t">${escapeHtml(chart.title)}</title><desc id="${id}-${layout}-d">${escapeHtml(chart.description)}</desc>`,
    )

/** Both layouts of a chart, drawn still; a place for it where it is only ever shown alive. */
async function pictureHtml(chart: Chart, id: string, numbers: Numbering): Promise<string> {
  if (!chart.spec || !chart.narrow) return '<p class="nothing">Nothing to draw.</p>'
  const live = numbers.live !== null
  numbers.live?.set(id, {
    wide: compiledSpec(chart.spec, chart.title),
    narrow: compiledSpec(chart.narrow, chart.title),
  })
  if (live && !numbers.stills) return '<div class="drawing unborn"></div>'
  const wide = await drawSvg(chart.spec, chart.title, `${id}-w-`)
  const narrow = await drawSvg(chart.narrow, chart.title, `${id}-n-`)
  return `<div class="drawing"><div class="wide">${described(wide, id, 'w', chart, live)}</div><div class="narrow">${described(narrow, id, 'n', chart, live)}</div></div>`
}

/** What a chart shows, how it is read, what it cannot show. */
const explained = ({ shows, reading, limits }: Chart): string =>
  `<span class="shows">${escapeHtml(shows)}</span> <span class="how">${escapeHtml(reading)}</span> <span class="limits">${escapeHtml(limits)}</span>`

async function chartHtml(chart: Chart, numbers: Numbering): Promise<string> {
  const id = `chart-${++numbers.charts}`
  const picture = await pictureHtml(chart, id, numbers)
  const rows = chart.table.rows.length
  const behind = rows
    ? `<details><summary>The table behind this (${rows} rows)</summary>${tableHtml(chartTable(chart), numbers)}</details>`
    : ''
  return `<figure id="${id}"><h3 class="finding">${unbroken(escapeHtml(chart.title))}</h3><p class="who">${unbroken(escapeHtml(chart.subtitle))}</p>${picture}<p class="reading">${unbroken(explained(chart))}</p>${behind}</figure>`
}

const tileHtml = (f: Figure): string =>
  `<li class="tile"><span class="label">${unbroken(linked(f.label, f.href))}</span><span class="value">${unbroken(escapeHtml(f.value))}</span>${
    f.interval ? `<span class="interval">${unbroken(escapeHtml(f.interval))}</span>` : ''
  }${f.note ? `<span class="note">${unbroken(escapeHtml(f.note))}</span>` : ''}</li>`

async function variantsHtml(
  block: Extract<Block, { kind: 'variants' }>,
  numbers: Numbering,
): Promise<string> {
  const own: Record<number, string> = {}
  const at = numbers.variants.push(own) - 1
  const all = await blocksHtml(block.blocks, numbers)
  // With scripts off everything is shown, and with scripts on a part's charts come alive at once.
  numbers.stills = false
  for (const { part, blocks } of block.parts)
    own[facetNumber(numbers, part.name, part.value)] = await blocksHtml(blocks, numbers)
  numbers.stills = true
  return `<div class="variants" data-variants="${at}">${all}</div>`
}

async function choiceHtml(block: Extract<Block, { kind: 'choice' }>, numbers: Numbering): Promise<string> {
  const known = numbers.choices.get(block.name)
  const first = known === undefined
  const { id: name } = known ?? { id: `choice-${numbers.choices.size + 1}` }
  if (first) numbers.choices.set(block.name, { id: name, options: block.options.length })
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
      return tableHtml(block, numbers)
    case 'figures':
      return `<ul class="tiles">${block.items.map(tileHtml).join('')}</ul>`
    case 'notice':
      return `<div class="notice ${block.tone}" role="note"><strong class="head">${inlineHtml(block.title)}</strong>${markdownHtml(block.text)}</div>`
    case 'entries':
      return entriesHtml(block, numbers)
    case 'filters':
      return filtersHtml(block)
    case 'variants':
      return variantsHtml(block, numbers)
    case 'grid':
      return `<div class="grid${block.blocks.every((b) => b.kind === 'chart') ? ' charts' : ''}">${await blocksHtml(block.blocks, numbers, (html) => `<div>${html}</div>`)}</div>`
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
  [...choices.values()]
    .flatMap(({ id, options }) =>
      Array.from(
        { length: options },
        (_, i) =>
          `body:has(#${id}-${i}:checked) .option[class*="${id}-is-"]:not(.${id}-is-${i}){display:none}`,
      ),
    )
    .join('\n')
