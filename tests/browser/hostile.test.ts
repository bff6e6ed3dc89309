import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Marked } from 'marked'
import type { Browser, Page as BrowserPage } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Chart, chart } from '../../src/charts/index.ts'
import {
  type Block,
  choice,
  entries,
  figures,
  filters,
  folded,
  markdown,
  notice,
  table,
  variants,
} from '../../src/notebook/blocks.ts'
import { formFiles } from '../../src/notebook/formats/index.ts'
import type { Page } from '../../src/notebook/page.ts'
import { PROVENANCE } from '../notebook/made-page.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'
import { HOSTILE } from './hostile-strings.ts'

/** A chart whose words and rows are all hostile. */
const chartOf = (words: string, names: readonly string[]): Chart => {
  const rows = names.map((name, i) => ({ name, n: i + 1, date: 86_400_000 * (20_000 + i) }))
  return chart({
    title: words,
    subtitle: words,
    description: words,
    shows: words,
    reading: words,
    limits: words,
    table: { columns: [{ field: 'name', label: words }], rows },
    build: (width) => ({
      width,
      height: 14 * rows.length,
      data: { values: rows },
      mark: 'bar',
      encoding: {
        y: { field: 'name', type: 'nominal', axis: { title: words } },
        x: { field: 'date', type: 'temporal', scale: { type: 'utc' } },
        color: { field: 'name', type: 'nominal', legend: null },
        tooltip: [{ field: 'name', title: words }],
      },
    }),
  })
}

const everywhere = (text: string): readonly Block[] => [
  markdown(`## ${text}\n\n${text}`),
  notice('caution', text, text),
  figures([{ label: text, value: text, interval: text, note: text, href: text }]),
  entries(
    text,
    [
      {
        title: text,
        under: text,
        flag: text,
        lead: text,
        lines: [text],
        id: text,
        href: `#${text}`,
        facets: { [text]: text },
      },
    ],
    1,
    [{ flag: text, note: text, shown: 1 }],
  ),
  table([{ [text]: text, link: { text, href: text } }], {
    caption: text,
    id: text,
    facets: () => ({ [text]: [text] }),
  }),
  choice(text, [{ label: text, show: [text] }]),
  variants(
    [figures([{ label: text, value: text }])],
    [{ part: { name: 'Site', value: text }, show: [figures([{ label: text, value: text }])] }],
  ),
  folded(text, text),
]

function pageOf(some: readonly string[]): Page {
  const [first = ''] = some
  return {
    title: 'A page',
    cells: [
      {
        title: first,
        code: some.join('\n'),
        blocks: [
          markdown('# A page\n\nOf texts.\n\n## Who'),
          filters([{ name: 'Site', values: some }]),
          table(
            some.map((text) => ({ text })),
            { columns: [{ field: 'text', label: 'Text' }], facets: (row) => ({ Site: String(row.text) }) },
          ),
          { kind: 'chart', chart: chartOf(first, some) },
          ...some.flatMap(everywhere),
        ],
      },
    ],
    provenance: {
      ...PROVENANCE,
      notebook: first,
      parameters: some.map((text) => ({
        name: text,
        type: 'text',
        description: text,
        default: text,
        required: false,
        value: text,
      })),
      inputs: some.map((file) => ({ file, sha256: 'cd'.repeat(32), bytes: 1, records: 1 })),
      versions: { waneline: first },
    },
  }
}

const folder = mkdtempSync(join(tmpdir(), 'waneline-hostile-'))
let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser?.close())

/** What has no place on a page, whatever the data say. */
const intruders = (page: BrowserPage): Promise<string[]> =>
  page.evaluate<string[]>(`[
    ...(globalThis.ran === undefined ? [] : ['something ran']),
    ...(document.title === 'A page' ? [] : ['the title changed']),
    ...[...document.querySelectorAll('img,iframe,object,embed,form,base,math,video,template,noscript,foreignObject,animate,link,script:not([type]) ~ script,head meta[http-equiv]:not([http-equiv=Content-Security-Policy])')].map((e) => e.outerHTML.slice(0, 80)),
    ...[...document.querySelectorAll('*')].flatMap((e) => [...e.attributes].filter((a) => /^on|^srcdoc$|^action$|^background$/i.test(a.name)).map((a) => e.tagName + ' ' + a.name)),
    ...[...document.querySelectorAll('a')].map((a) => a.getAttribute('href') ?? '').filter((href) => !/^(#|https?:|mailto:)/i.test(href)),
    ...(document.querySelectorAll('style').length === 1 ? [] : ['more than one style']),
  ]`)

/** No complaint, no request, no intruder, nothing beside the screen. */
const UNHARMED = [[], [], [], 0]

/** A text as the HTML standard hands it back: NUL goes, line ends are one letter, half a pair is the replacement character. */
const asRead = (text: string): string =>
  text
    .replaceAll('\0', '')
    .replace(/\r\n?/g, '\n')
    .replace(/[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/g, '\uFFFD')

const BATCH = 60
const batches = Array.from({ length: Math.ceil(HOSTILE.length / BATCH) }, (_, i) =>
  HOSTILE.slice(i * BATCH, (i + 1) * BATCH),
)

async function htmlFile(name: string, some: readonly string[]): Promise<string> {
  const [file] = await formFiles(pageOf(some), ['html'], { name: 'page', code: true })
  const path = join(folder, `${name}.html`)
  writeFileSync(path, file!.content)
  return path
}

describe(`${HOSTILE.length} hostile texts`, () => {
  it('are at least 500, each once', () => {
    expect(HOSTILE.length).toBeGreaterThanOrEqual(500)
    expect(new Set(HOSTILE).size).toBe(HOSTILE.length)
  })

  it.each(batches.map((some, i) => [i * BATCH, some] as const))(
    'from number %i: none runs, none asks for anything, none breaks the layout, each stands as it was written',
    async (from, some) => {
      const { page, complaints, requests } = await openFile(browser, await htmlFile(`page-${from}`, some), {
        width: 390,
        height: 844,
      })
      expect([complaints, requests, await intruders(page), await sidewaysScroll(page)]).toEqual(UNHARMED)
      const cells = await page.locator('main > .tablebox').first().locator('td').allTextContents()
      expect(cells).toEqual(some.map(asRead))
      // Everything that a reader can open or bring to life.
      await page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
      await page.locator('figure .explore').first().click()
      await page.locator('.live svg').first().waitFor()
      await page.keyboard.press('ArrowRight')
      await page.keyboard.press('End')
      await page.locator('details.filters select').selectOption({ index: some.length > 2 ? 2 : 1 })
      await page.locator('.narrowed:not([hidden])').waitFor()
      expect([complaints, requests, await intruders(page), await sidewaysScroll(page)]).toEqual(UNHARMED)
      await page.context().close()
    },
  )

  it('as the notebook form: valid JSON whose HTML runs nothing in a page without any policy', async () => {
    const [file] = await formFiles(pageOf(HOSTILE), ['ipynb'], { name: 'page', code: true })
    const notebook = JSON.parse(String(file!.content)) as {
      cells: { outputs?: { data: Record<string, string[] | string> }[] }[]
    }
    const html = notebook.cells
      .flatMap((c) => c.outputs ?? [])
      .flatMap((o) => o.data['text/html'] ?? [])
      .join('')
    expect(html).toContain('&lt;script&gt;')
    await runsNothing('notebook', html)
  })

  it('as Markdown: a viewer that lets HTML through runs and fetches nothing', async () => {
    const files = await formFiles(pageOf(HOSTILE), ['md'], { name: 'page', code: false })
    const text = String(files.find((f) => f.path === 'page.md')!.content)
    const html = await new Marked({ gfm: true }).parse(text)
    // Our own pictures lie beside the text.
    await runsNothing('markdown', html.replace(/<img src="page-pictures\/chart-\d+\.png" alt="[^"]*">/g, ''))
  })

  it('as CSV: every cell comes back, none begins a formula, and file names are plain', async () => {
    const files = await formFiles(pageOf(HOSTILE), ['csv'], { name: 'page', code: false })
    for (const { path } of files) {
      expect(path).toMatch(/^page-tables\/\d+-[\p{L}\p{N}-]+\.csv$/u)
      expect(Buffer.byteLength(path)).toBeLessThan(255)
    }
    const cells = csvCells(String(files[0]!.content)).flat()
    expect(cells.filter((c) => /^[=+\-@\t\r]/.test(c))).toEqual([])
    expect(cells.slice(1).map((c, i) => (c === HOSTILE[i] ? c : c.slice(1)))).toEqual(HOSTILE)
  })
})

async function runsNothing(name: string, html: string): Promise<void> {
  const path = join(folder, `${name}.html`)
  writeFileSync(
    path,
    `<!doctype html><meta charset="utf-8"><title>A page</title><style></style><body>${html}`,
  )
  const { page, requests } = await openFile(browser, path)
  await page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
  expect(await page.locator('script').count()).toBe(0)
  expect([requests, await intruders(page)]).toEqual([[], []])
  await page.context().close()
}

/** RFC 4180, read as it is written. */
function csvCells(text: string): string[][] {
  const rows: string[][] = []
  let row: string[] = []
  const field = /(?:"((?:[^"]|"")*)"|([^",\n]*))(,|\n|$)/y
  while (field.lastIndex < text.length) {
    const [, quoted, plain = '', end] = field.exec(text)!
    row.push(quoted === undefined ? plain : quoted.replaceAll('""', '"'))
    if (end !== ',') {
      rows.push(row)
      row = []
    }
  }
  return rows
}
