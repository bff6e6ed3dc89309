import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'
import { strFromU8, unzipSync } from 'fflate'
import { marked } from 'marked'
import { beforeAll, describe, expect, it } from 'vitest'
import { chart } from '../../src/charts/index.ts'
import {
  type Block,
  choice,
  entries,
  figures,
  folded,
  grid,
  markdown,
  notice,
  table,
} from '../../src/notebook/blocks.ts'
import { chartPictures } from '../../src/notebook/formats/chart-pictures.ts'
import { csvFiles, csvOf } from '../../src/notebook/formats/csv.ts'
import { notebookJson } from '../../src/notebook/formats/ipynb.ts'
import { markdownFiles } from '../../src/notebook/formats/markdown.ts'
import { markdownText, plainMarkdown } from '../../src/notebook/formats/markdown-text.ts'
import { outlinedSvg, pngOf } from '../../src/notebook/formats/picture.ts'
import { slidesFile } from '../../src/notebook/formats/pptx.ts'
import type { Page } from '../../src/notebook/page.ts'
import { PROVENANCE } from './made-page.ts'

const HOSTILE = [
  '<b>bold</b> & "quoted" | `code` *stars* _under_ [a](javascript:x) \u0000\u0008',
  '=1+1',
  'Zoë — 表',
]

const points = chart({
  title: HOSTILE[0]!,
  subtitle: '2 points',
  description: HOSTILE[0]!,
  shows: 'Two numbers.',
  reading: 'Two points.',
  limits: 'It cannot show more.',
  table: { columns: [{ field: 'x', label: 'X' }], rows: [{ x: '=1' }, { x: 'b' }] },
  build: (width) => ({
    width,
    height: 60,
    data: { values: [{ x: 1 }, { x: 2 }] },
    mark: 'point',
    encoding: { x: { field: 'x', type: 'quantitative' } },
  }),
})

const BLOCKS: readonly Block[] = [
  markdown('# Forms\n\nFirst <i>words</i>.'),
  markdown('## Part\n\n- one\n- two'),
  ...HOSTILE.flatMap((text) => [
    notice('caution', 'Title', text),
    figures([{ label: text, value: text, note: text }]),
    entries(text, [{ title: text, lead: text, lines: [text] }]),
    table([{ text, n: 0.1 + 0.2, none: null }], { caption: text }),
  ]),
  grid(points),
  folded('More', 'Inside.'),
  choice('Site', [
    { label: 'All', show: ['Everyone.'] },
    { label: 'Heron', show: ['Heron alone.'] },
  ]),
]

const PAGE: Page = {
  title: 'Forms',
  cells: [
    { title: '', code: "import { show } from 'waneline'", blocks: BLOCKS.slice(0, 1) },
    { title: 'Part', code: "show('```')", blocks: BLOCKS.slice(1) },
  ],
  provenance: PROVENANCE,
}

interface Notebook {
  readonly cells: readonly {
    readonly cell_type: string
    readonly id: string
    readonly source: readonly string[]
    readonly outputs?: readonly { readonly data: Readonly<Record<string, unknown>> }[]
  }[]
}

describe('a Jupyter notebook', () => {
  let text: string
  let notebook: Notebook
  beforeAll(async () => {
    text = await notebookJson(PAGE, { code: true })
    notebook = JSON.parse(text) as Notebook
  })

  it('is valid by the schema of nbformat 4.5 (nbformat 5.11.1, nbformat.v4.5.schema.json)', () => {
    const schema = JSON.parse(
      readFileSync(new URL('./data/nbformat.v4.5.schema.json', import.meta.url), 'utf8'),
    ) as { $schema?: string }
    // Written for JSON Schema draft 4; nothing it uses means anything else in draft 7.
    const { $schema: _, ...rest } = schema
    const valid = new Ajv({ strict: false, validateFormats: false }).compile(rest)
    expect(valid(notebook), JSON.stringify(valid.errors?.slice(0, 3))).toBe(true)
    expect(valid({ ...notebook, cells: [{ cell_type: 'code' }] })).toBe(false)
  })

  it('has ids that are unique, as the format wants and its schema cannot say', () => {
    const ids = notebook.cells.map((c) => c.id)
    expect(new Set(ids).size).toBe(ids.length)
    for (const id of ids) expect(id).toMatch(/^[a-zA-Z0-9-_]{1,64}$/)
  })

  it('carries every chart as a specification and as a picture', () => {
    const charts = notebook.cells
      .flatMap((c) => c.outputs ?? [])
      .filter((o) => 'application/vnd.vegalite.v5+json' in o.data)
    expect(charts).toHaveLength(1)
    const { data } = charts[0]!
    expect(data['application/vnd.vegalite.v6+json']).toMatchObject({ background: 'white', mark: 'point' })
    expect(JSON.stringify(data)).not.toContain('currentColor')
    expect(Buffer.from(String(data['image/png']), 'base64').subarray(1, 4).toString()).toBe('PNG')
  })

  it('escapes data in HTML, and leaves code out where that is asked', async () => {
    const html = notebook.cells
      .flatMap((c) => c.outputs ?? [])
      .flatMap((o) => (o.data['text/html'] as string[]) ?? [])
      .join('')
    expect(html).toContain('&lt;b&gt;bold&lt;/b&gt;')
    expect(html).not.toMatch(/<b>|<script/)
    expect(await notebookJson(PAGE, { code: false })).not.toContain("from 'waneline'")
    expect(text).toContain("from 'waneline'")
  })
})

describe('Markdown', () => {
  it('brings data back letter for letter when it is read by a Markdown reader (marked)', () => {
    const entities = { '&amp;': '&', '&lt;': '<', '&gt;': '>', '&quot;': '"', '&#39;': "'" } as const
    for (const data of [
      ...HOSTILE,
      '1. one',
      '- item',
      '+ x',
      '# head',
      '~~gone~~',
      '![i](http://x/y)',
      '\\',
      '$x$',
    ])
      expect(
        marked
          .parse(markdownText(data), { async: false })
          .replace(/^<p>|<\/p>\n$/g, '')
          .replace(/&(amp|lt|gt|quot|#39);/g, (e) => entities[e as keyof typeof entities])
          .replace(/&#(\d+);/g, (_, code: string) => String.fromCharCode(Number(code))),
      ).toBe(data)
  })

  it('leaves prose as it was but for raw HTML and pictures', () => {
    const prose = '# A *b*\n\n`<i>` and <i>x</i>\n\n    <code>\n\n![words](http://x/y.png)\n\n- [ok](#a)\n'
    expect(plainMarkdown(prose)).toBe(
      '# A *b*\n\n`<i>` and &lt;i>x&lt;/i>\n\n    <code>\n\nwords\n\n- [ok](#a)\n',
    )
  })

  it('names each picture it has, and fences code that has fences in it', async () => {
    const { text, pictures } = await markdownFiles(PAGE, { folder: 'my pictures', code: true })
    expect(pictures.map((p) => p.name)).toEqual(['chart-1.png'])
    expect(text).toContain('](my%20pictures/chart-1.png)')
    expect(text).toContain("````ts\nshow('```')\n````")
    expect(text).toContain('**Site: Heron**\n\nHeron alone.')
  })
})

describe('CSV', () => {
  it('quotes as RFC 4180 says and takes formulas their power, numbers in full', () => {
    expect(
      csvOf(
        ['a', 'b'],
        [
          { a: 'x,"y"', b: 0.1 + 0.2 },
          { a: '=1+1', b: -3 },
          { a: 'two\nlines', b: null },
          { a: '-x', b: true },
        ],
      ),
    ).toBe('a,b\n"x,""y""",0.30000000000000004\n\'=1+1,-3\n"two\nlines",\n\'-x,true\n')
  })

  it('has a file for each table of the page, those behind charts too', () => {
    expect(csvFiles(PAGE).map((f) => f.name)).toEqual([
      '1-b-bold-b-quoted-code-stars-under-a-javascript-x.csv',
      '2-1-1.csv',
      '3-zoe-表.csv',
      '4-b-bold-b-quoted-code-stars-under-a-javascript-x.csv',
    ])
  })
})

describe('slides', () => {
  let bytes: Uint8Array
  beforeAll(async () => {
    bytes = await slidesFile(PAGE)
  })

  it('hold native text and tables, a picture with its words, and only what XML can', () => {
    const files = unzipSync(bytes)
    const slides = Object.keys(files).filter((name) => /^ppt\/slides\/slide\d+\.xml$/.test(name))
    expect(slides.length).toBeGreaterThan(3)
    const all = slides.map((name) => strFromU8(files[name]!)).join('')
    expect(all).toContain('<a:tbl>')
    expect(all).toContain('&lt;b&gt;bold&lt;/b&gt;')
    expect(all).not.toMatch(/[\u0000-\u0008\u000B\u000C\u000E-\u001F]|<b>/)
    expect(all).toMatch(/descr="&lt;b&gt;bold/)
    // Every tag that is opened is closed: a parser's least demand.
    const depth = [...all.matchAll(/<(\/?)[a-z]+:[a-zA-Z]+(?:\s[^<>]*?)?(\/?)>/g)].reduce(
      (sum, [, closes, alone]) => sum + (alone ? 0 : closes ? -1 : 1),
      0,
    )
    expect(depth).toBe(0)
  })

  it('come out the same, whenever they are written', async () => {
    await new Promise((later) => setTimeout(later, 1100))
    expect(Buffer.from(await slidesFile(PAGE)).equals(Buffer.from(bytes))).toBe(true)
  })
})

describe('pictures', () => {
  const svg =
    '<svg xmlns="http://www.w3.org/2000/svg" width="80" height="20"><text x="2" y="15" fill="currentColor" font-family="Inter, sans-serif">Moro 4/4</text></svg>'

  it('have the same bytes on every machine: this hash was made on Linux, whatever fonts are installed', async () => {
    expect(
      createHash('sha256')
        .update(await pngOf(svg))
        .digest('hex'),
    ).toBe('6ce94bcbf558190d50fd57622674d4cf6180ee2a11ec1a6d310acb5d88f8fcbd')
  })

  it('turn letters into outlines', async () => {
    const outlined = await outlinedSvg(svg)
    expect(outlined).not.toContain('<text')
    expect(outlined).toMatch(/<path [^>]*d="M/)
  })

  it('have no slide of one chart left over, none of a folded part, and sections of a few words share one', async () => {
    const line: Block = { kind: 'chart', chart: points }
    const words = (title: string): Block => ({ kind: 'markdown', text: `## ${title}\n\nMissing.` })
    const blocks: Block[] = [
      { kind: 'grid', blocks: [line, line, line, line, line] },
      words('Perspective'),
      words('Consent'),
      { kind: 'folded', title: 'Folded', blocks: [{ kind: 'markdown', text: 'Words used.' }] },
    ]
    const [cell] = PAGE.cells
    const files = unzipSync(await slidesFile({ ...PAGE, cells: [{ ...cell!, blocks }] }))
    const slides = Object.keys(files)
      .filter((name) => /^ppt\/slides\/slide\d+\.xml$/.test(name))
      .map((name) => strFromU8(files[name]!))
    // By hand: title, two charts, three charts, both sections, what the slides were made from.
    expect(slides).toHaveLength(5)
    expect(slides.map((s) => s.split('<p:pic>').length - 1).sort()).toEqual([0, 0, 0, 2, 3])
    expect(slides.filter((s) => s.includes('Perspective') && s.includes('Consent'))).toHaveLength(1)
    expect(slides.join('')).not.toContain('Words used')
  })
})

describe('pictures of charts', () => {
  it('are chosen by words of the title in any case, with the table behind them', async () => {
    const [cell] = PAGE.cells
    const other = { ...points, title: 'Another finding' }
    const blocks: Block[] = [points, other].map((chart) => ({ kind: 'chart', chart }))
    const page = { ...PAGE, cells: [{ ...cell!, blocks }] }
    const files = await chartPictures(page, { forms: ['csv'], only: 'another FIND', scale: 1 })
    expect(files.map((f) => f.path)).toEqual(['chart-2-another-finding.csv'])
    await expect(chartPictures(page, { forms: ['csv'], only: 'rainbow', scale: 1 })).rejects.toThrow(
      /No one chart is meant by "rainbow"\. The page has 2 charts\n {2}1 {2}.*\n {2}2 {2}Another finding/,
    )
  })
})
