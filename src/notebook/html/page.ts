import { createHash } from 'node:crypto'
import type { Page, Provenance } from '../page.ts'
import { blocksHtml, choiceStyle } from './blocks.ts'
import { escapeHtml } from './escape.ts'
import { filterBlocks } from './filters.ts'
import { liveRuntime } from './live/runtime.ts'
import { specsBlock } from './live/specs.ts'
import { numbering } from './numbering.ts'
import { SCRIPT } from './script.ts'
import { STYLE } from './style.ts'
import { numberText, tableHtml } from './table.ts'

export interface HtmlOptions {
  /** Whether the notebook's code stands, folded, at the end. */
  readonly code: boolean
  /**
   * Whether charts come alive. True by default; it costs the page 250 kB for the runtime, and what the charts hold once
   * more, packed. Without it the still pictures say their records under the pointer all the same.
   */
  readonly live?: boolean
}

const cspHash = (text: string): string =>
  `'sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}'`

/** Headings of the second level, for the contents. */
const contents = (html: string): string => {
  const links = [...html.matchAll(/<h2 id="([^"]*)">(.*?)<\/h2>/g)].map(
    (m) => `<a href="#${m[1]}">${m[2]!.replace(/<[^>]*>/g, '')}</a>`,
  )
  return links.length > 1
    ? `<nav class="contents" aria-label="Contents"><div class="wrap"><div class="links">${links.join('')}<a href="#made-from">Made from</a></div></div></nav>`
    : ''
}

/** Two headings with the same words get different anchors. */
function uniqueHeadings(html: string): string {
  const seen = new Map<string, number>()
  return html.replace(/<h([1-6]) id="([^"]*)">/g, (whole, depth: string, id: string) => {
    const n = (seen.get(id) ?? 0) + 1
    seen.set(id, n)
    return n === 1 ? whole : `<h${depth} id="${id}-${n}">`
  })
}

const counted = (n: number, one: string): string => `${numberText(n, 0)} ${n === 1 ? one : `${one}s`}`

function provenanceHtml(p: Provenance): string {
  const inputs = p.inputs.map((i) => ({ file: i.file, records: i.records, bytes: i.bytes, sha256: i.sha256 }))
  const total = p.inputs.reduce((sum, i) => sum + (i.records ?? 0), 0)
  const inputTable = tableHtml({
    kind: 'table',
    caption: 'Input files',
    columns: [
      { field: 'file', label: 'File', format: 'text', decimals: 0 },
      { field: 'records', label: 'Records', format: 'number', decimals: 0 },
      { field: 'bytes', label: 'Bytes', format: 'number', decimals: 0 },
      { field: 'sha256', label: 'SHA-256', format: 'text', decimals: 0 },
    ],
    rows: inputs,
  })
  const parameters = tableHtml({
    kind: 'table',
    caption: 'Parameters',
    columns: [
      { field: 'name', label: 'Parameter', format: 'text', decimals: 0 },
      { field: 'value', label: 'Value', format: 'text', decimals: 0 },
      { field: 'description', label: 'What it is', format: 'text', decimals: 0 },
    ],
    rows: p.parameters.map(({ name, value, description }) => ({ name, value, description })),
  })
  const versions = Object.entries(p.versions)
    .map(([name, version]) => `${name} ${version}`)
    .join(', ')
  return `<h2 id="made-from">What this page was made from</h2>
<p>${counted(p.inputs.length, 'file')}, ${counted(total, 'record')}. The same files, parameters and versions give the same page, byte for byte.</p>
<details class="print"><summary>Files, parameters, versions</summary>${inputs.length > 0 ? inputTable : ''}${p.parameters.length > 0 ? parameters : ''}<p>Notebook ${escapeHtml(p.notebook)}, SHA-256 <code>${p.notebookSha256}</code>. Versions: ${escapeHtml(versions)}.</p></details>
<script type="application/json" id="provenance">${JSON.stringify(p).replaceAll('<', '\\u003c')}</script>`
}

const codeHtml = (page: Page): string => {
  const cells = page.cells.filter((c) => c.code.trim())
  return `<details><summary>The notebook's code (${cells.length} cells)</summary>${cells
    .map(
      (c) =>
        `${c.title ? `<h3>${escapeHtml(c.title)}</h3>` : ''}<pre tabindex="0"><code>${escapeHtml(c.code)}</code></pre>`,
    )
    .join('\n')}</details>`
}

/** One self-contained HTML page: no network, no external file, readable with scripts off. */
export async function pageHtml(page: Page, options: HtmlOptions): Promise<string> {
  const numbers = numbering(options.live ?? true)
  const [first, ...rest] = page.cells
  const parts: string[] = []
  for (const cell of first ? [first, ...rest] : []) parts.push(await blocksHtml(cell.blocks, numbers))
  const whole = uniqueHeadings(parts.join('\n'))
  // The first heading and the sentence under it stand in the page's head.
  const head = /^\s*<h1 id="[^"]*">.*?<\/h1>\s*(<p>[\s\S]*?<\/p>)?/.exec(whole)
  const body = head ? whole.slice(head[0].length) : whole
  const style = STYLE + choiceStyle(numbers)
  const runtime = numbers.live && numbers.live.size > 0 ? liveRuntime() : null
  const scripts = [SCRIPT, ...(runtime ? [runtime.source] : [])].map(cspHash).join(' ')
  const policy = `default-src 'none'; style-src ${cspHash(style)}; script-src ${scripts}; img-src data:; base-uri 'none'; form-action 'none'`
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="generator" content="waneline ${escapeHtml(page.provenance.versions.waneline ?? '')}">
<title>${escapeHtml(page.title)}</title>
<style>${style}</style>
</head>
<body>
<a class="skip" href="#content">To the content</a>
<header class="top"><div class="wrap">${head?.[0] ?? `<h1>${escapeHtml(page.title)}</h1>`}</div></header>
${contents(body)}
<main id="content" class="wrap">
${body}
</main>
<footer><div class="wrap">${provenanceHtml(page.provenance)}${options.code ? codeHtml(page) : ''}</div></footer>
${runtime && numbers.live ? `${specsBlock(numbers.live)}\n${runtime.block}\n` : ''}${filterBlocks(numbers)}<script>${SCRIPT}</script>
</body>
</html>
`
}
