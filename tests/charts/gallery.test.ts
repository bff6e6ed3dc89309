import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { Ajv } from 'ajv'
import { describe, expect, it } from 'vitest'
import {
  type Chart,
  type ChartSpec,
  checkSpec,
  flowChart,
  statusByReflexChart,
  timeToIntegrationChart,
} from '../../src/charts/index.ts'
import { drawSvg } from '../../src/notebook/draw.ts'
import { EMPTY, GALLERY } from './gallery.ts'

// The schema that Vega-Lite publishes (v6) is the outside judge of every specification.
const require = createRequire(import.meta.url)
const schema = JSON.parse(readFileSync(require.resolve('vega-lite/vega-lite-schema.json'), 'utf8'))
const ajv = new Ajv({ strict: false, formats: { 'color-hex': true, uri: true, 'uri-reference': true } })
const valid = ajv.compile(schema)

const layouts = (c: Chart): [string, ChartSpec][] => [
  ['wide', c.spec!],
  ['narrow', c.narrow!],
]

describe.each(Object.entries(GALLERY))('the chart %s', (_, chart) => {
  it.each(layouts(chart))('is valid Vega-Lite with only fields that exist (%s)', (_layout, spec) => {
    expect(valid(spec), JSON.stringify(valid.errors?.slice(0, 3))).toBe(true)
    expect(checkSpec(spec)).toEqual([])
  })

  it.each(layouts(chart))('draws without a warning, by the interpreter alone (%s)', async (_layout, spec) => {
    // A drawing that warns is refused.
    const svg = await drawSvg(spec, 'a chart', '')
    expect(svg.length).toBeGreaterThan(2000)
    expect(svg).not.toMatch(/NaN|undefined/)
  })

  it('fits a phone', async () => {
    const svg = await drawSvg(chart.narrow!, chart.title, '')
    expect(Number(/width="([\d.]+)"/.exec(svg)?.[1])).toBeLessThanOrEqual(340)
  })

  it('says what it shows in words, with a table behind it', () => {
    for (const text of [
      chart.title,
      chart.subtitle,
      chart.description,
      chart.shows,
      chart.reading,
      chart.limits,
    ]) {
      expect(text.length).toBeGreaterThan(8)
      expect(text).not.toMatch(/NaN|undefined|null|\d\.\d{5}/)
    }
    const fields = chart.table.columns.map((c) => c.field)
    for (const row of chart.table.rows) for (const field of fields) expect(Object.keys(row)).toContain(field)
    expect(chart.table.rows.length).toBeGreaterThan(0)
  })

  it('has a sentence each on what it shows and cannot show', () => {
    expect(chart.shows).toMatch(/^[A-Z].*\.$/)
    expect(chart.limits).toMatch(/^It cannot .*\.$/)
  })

  it('never says what to do', () => {
    expect(`${chart.title} ${chart.shows} ${chart.reading} ${chart.limits}`).not.toMatch(
      /\b(should|must|stop|start the|increase|reduce|change the programme)\b/i,
    )
  })
})

describe('sides and groups are told apart by more than colour', () => {
  const fields = (spec: ChartSpec, channels: string): string[] => [
    ...new Set(
      [...JSON.stringify(spec).matchAll(new RegExp(`"(?:${channels})":\\{"field":"(\\w+)"`, 'g'))].map(
        (m) => m[1]!,
      ),
    ),
  ]
  const coloured = Object.entries(GALLERY).filter(([, { spec }]) => fields(spec!, 'color').length > 0)
  /** Bars that stand apart, each under its own words, or with an arrow (below). */
  const BY_WORDS = ['delivered-against-prescribed', 'status-by-reflex']

  it('by the shape of a point or the dashes of a line, wherever a field has a colour', () => {
    expect(coloured.length).toBeGreaterThan(BY_WORDS.length)
    for (const [name, chart] of coloured)
      for (const [, spec] of layouts(chart))
        if (!BY_WORDS.includes(name))
          expect([name, ...fields(spec, 'shape|strokeDash')]).toEqual(
            expect.arrayContaining([name, ...fields(spec, 'color')]),
          )
  })

  it('by words, where each bar has a row of its own', async () => {
    const { spec, narrow, title, table } = GALLERY['delivered-against-prescribed']!
    for (const one of [spec!, narrow!]) {
      const words = [...(await drawSvg(one, title, '')).matchAll(/>([^<>]+)</g)].map((m) => m[1]!.trim())
      for (const side of ['left', 'right'])
        expect(words.filter((w) => new RegExp(`(^|, )${side}$`).test(w)).length).toBeGreaterThanOrEqual(
          table.rows.filter((row) => row.side === side).length,
        )
    }
  })
})

describe.each(Object.entries(EMPTY))('the chart %s with nothing to draw', (_, chart) => {
  it('says so in words and draws no frame', () => {
    expect(chart.spec).toBeNull()
    expect(chart.narrow).toBeNull()
    expect(chart.title.length).toBeGreaterThan(5)
    expect(`${chart.title} ${chart.subtitle} ${chart.description}`).not.toMatch(/NaN|undefined|Infinity/)
  })
})

describe('checkSpec', () => {
  const spec = (extra: object): ChartSpec =>
    ({
      data: { values: [{ a: 1 }] },
      mark: 'point',
      encoding: { x: { field: 'a', type: 'quantitative' } },
      ...extra,
    }) as ChartSpec

  it('finds a field that no row has', () => {
    expect(checkSpec(spec({ encoding: { x: { field: 'b', type: 'quantitative' } } }))).toEqual([
      'no row has the field "b"',
    ])
  })

  it('knows fields that a transform makes', () => {
    expect(
      checkSpec(spec({ transform: [{ calculate: 'datum.a', as: 'b' }], encoding: { x: { field: 'b' } } })),
    ).toEqual([])
  })

  it('refuses data from elsewhere and links', () => {
    expect(checkSpec(spec({ data: { url: 'file:///etc/passwd' } }))[0]).toMatch(/url is not allowed/)
    expect(checkSpec(spec({ layer: [{ data: { url: 'x.csv' }, mark: 'bar' }] }))[0]).toMatch(
      /url is not allowed/,
    )
    expect(checkSpec(spec({ mark: { type: 'point', href: 'x' } }))[0]).toMatch(/href is not allowed/)
  })
})

describe('what would not be seen in a drawing is said in words', () => {
  const curve = (reflex: 'moro' | 'rooting', integrated: number) => ({
    reflex,
    n: 5,
    integrated,
    until: 90,
    medianDays: null,
    steps: integrated > 0 ? [{ from: 30, to: 60, before: 1, after: 0.8 }] : [],
  })

  it('a reflex in which nothing integrated is named, and no flat line stands for it', async () => {
    const some = timeToIntegrationChart([curve('moro', 0), curve('rooting', 1)])
    expect(some.subtitle).toBe('10 series, 1 integrated; not drawn, since none integrated: Moro')
    const svg = await drawSvg(some.spec!, some.title, '')
    expect(svg).toContain('>Rooting<')
    expect(svg).not.toContain('>Moro<')
    expect(some.table.rows).toHaveLength(2)
    const none = timeToIntegrationChart([curve('moro', 0)])
    expect(none.title).toBe('None of 5 series integrated within the time watched')
    expect(none.spec).toBeNull()
  })

  it('a long reason for leaving a flow is in lines, none cut', async () => {
    const reason =
      'the follow-up window has not been reached or is still open at the day for which all is reckoned'
    const { narrow, title } = flowChart([
      { stage: 'enrolled', clients: 9, left: [] },
      { stage: 'with a programme for a scored reflex', clients: 5, left: [{ reason, count: 4 }] },
    ])
    const svg = await drawSvg(narrow!, title, '')
    expect(svg).not.toContain('…')
    expect(svg).toContain('with a programme for a scored reflex')
    for (const word of reason.split(' ')) expect(svg).toContain(word)
  })

  it('series that rise have an arrow beside their colour, which without green and red is that of those gone', async () => {
    const svg = await drawSvg(
      statusByReflexChart([
        { series: { reflex: 'moro' }, status: 'rising' },
        { series: { reflex: 'rooting' }, status: 'integrated' },
      ]).spec!,
      'status',
      '',
    )
    // One at the bar, one in the key.
    expect(svg.match(/↑/g)).toHaveLength(2)
  })
})
