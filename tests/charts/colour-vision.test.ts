import { describe, expect, it } from 'vitest'
import type { ChartSpec } from '../../src/charts/index.ts'
import { INK } from '../../src/charts/theme.ts'
import { apart, ciede2000, contrast, lab, linearRgb, type Triple, VISION } from './colour.ts'
import { GALLERY } from './gallery.ts'

/** Sharma, Wu and Dalal 2005, table 1: pairs 1, 7, 9, 17, 19, 24. */
const PUBLISHED: readonly (readonly [Triple, Triple, number])[] = [
  [[50, 2.6772, -79.7751], [50, 0, -82.7485], 2.0425],
  [[50, 0, 0], [50, -1, 2], 2.3669],
  [[50, 2.49, -0.001], [50, -2.49, 0.0009], 7.1792],
  [[50, 2.5, 0], [73, 25, -18], 27.1492],
  [[60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644],
  [[2.0776, 0.0795, -1.135], [0.9033, -0.0636, -0.5514], 0.9082],
]

describe('the measure of colours', () => {
  it.each(PUBLISHED)('has the published CIEDE2000 of %j and %j', (first, second, expected) => {
    expect(ciede2000(first, second)).toBeCloseTo(expected, 4)
    expect(ciede2000(second, first)).toBeCloseTo(expected, 4)
  })

  it('has the Lab of pure red, and no colour in white, whoever looks', () => {
    // CIE Lab of sRGB red under D65: 53.24, 80.09, 67.20 (common tables).
    const red = lab(linearRgb('#ff0000'))
    for (const [i, v] of [53.24, 80.09, 67.2].entries()) expect(red[i]).toBeCloseTo(v, 1)
    for (const matrix of Object.values(VISION))
      for (const row of matrix) expect(row[0] + row[1] + row[2]).toBeCloseTo(1, 5)
  })

  it('takes red and green for near without the cones that tell them, and for far with them', () => {
    // A red and a green of one lightness: the classic confusion.
    expect(apart('#c0504d', '#7a7f2a', 'full colour vision')).toBeGreaterThan(40)
    expect(apart('#c0504d', '#7a7f2a', 'deuteranopia')).toBeLessThan(15)
  })
})

type Json = Readonly<Record<string, unknown>>
const isObject = (x: unknown): x is Json => typeof x === 'object' && x !== null

interface Group {
  readonly name: string
  readonly domain: readonly string[]
  readonly colours: readonly string[]
  /** What tells values apart beside colour: the signs and dashes of the same values. */
  readonly signs: readonly (readonly string[])[]
}

/** Every scale of colours in a chart, with the shapes and dashes that go along with it. */
function groupsOf(name: string, spec: ChartSpec): Group[] {
  const found: Group[] = []
  const walk = (node: unknown): void => {
    if (Array.isArray(node)) for (const item of node) walk(item)
    else if (isObject(node)) {
      const { encoding } = node
      const scaleOf = (channel: unknown): Json | null =>
        isObject(channel) && isObject(channel.scale) && Array.isArray(channel.scale.range)
          ? channel.scale
          : null
      if (isObject(encoding)) {
        const colour = scaleOf(encoding.color)
        if (colour) {
          const domain = colour.domain as string[]
          found.push({
            name,
            domain,
            colours: colour.range as string[],
            signs: [encoding.shape, encoding.strokeDash]
              .map(scaleOf)
              // Signs of other values, such as reflexes beside sides, tell nothing apart here.
              .filter((s) => s !== null && JSON.stringify(s.domain) === JSON.stringify(domain))
              .map((s) => (s!.range as unknown[]).map((sign) => JSON.stringify(sign))),
          })
        }
      }
      for (const [key, value] of Object.entries(node)) if (key !== 'values') walk(value)
    }
  }
  walk(spec)
  return found
}

/**
 * Where words tell apart what colours may not: lanes and bars that stand in rows of their own, each under its name, and the
 * series that rise, at whose bar and in whose key an arrow stands (the gallery's tests hold both).
 */
const BY_WORDS: Readonly<Record<string, (first: string, second: string) => boolean>> = {
  'delivered-against-prescribed': () => true,
  'client-timeline': () => true,
  'status-by-reflex': (...two) => two.includes('rising, returned or new'),
}

const pairs = Object.entries(GALLERY)
  .flatMap(([name, c]) => [...groupsOf(name, c.spec!), ...groupsOf(name, c.narrow!)])
  .flatMap(({ name, domain, colours, signs }) =>
    domain.flatMap((first, i) =>
      domain.slice(i + 1).map((second, k) => ({
        name,
        first,
        second,
        colours: [colours[i]!, colours[i + 1 + k]!] as const,
        signed: signs.some((s) => s[i] !== s[i + 1 + k]),
      })),
    ),
  )

/**
 * Colours alone tell values apart from this CIEDE2000 on. A difference of 1 is just seen in large fields side by side;
 * marks that are small or apart need some ten times as much (common practice).
 */
const FAR = 10
const PAPERS = ['#fbfaf6', '#14181a']

describe('whoever looks at a chart', () => {
  it('finds colours by value in the charts that have them', () => {
    expect(new Set(pairs.map((p) => p.name))).toEqual(
      new Set([
        'adherence-by-week',
        'client-timeline',
        'course',
        'courses',
        'delivered-against-prescribed',
        'dose-and-response',
        'left-against-right',
        'start-to-latest',
        'status-by-reflex',
      ]),
    )
  })

  it.each(Object.keys(VISION))('tells every two values apart: %s', (vision) => {
    const alike = pairs
      .filter((p) => !p.signed && !BY_WORDS[p.name]?.(p.first, p.second))
      .filter((p) => apart(...p.colours, vision) < FAR)
    expect(alike.map((p) => `${p.name}: ${p.first}, ${p.second}`)).toEqual([])
  })

  it('needs signs, dashes or words beside colour: without them some values would be alike', () => {
    const alike = (vision: string): string[] =>
      pairs.filter((p) => apart(...p.colours, vision) < FAR).map((p) => `${p.first}, ${p.second}`)
    expect(alike('full colour vision')).toEqual([])
    expect(alike('tritanopia')).toContain('left, midline')
    expect(alike('achromatopsia')).toContain('left, right')
  })

  it.each(Object.entries(INK).filter(([, ink]) => ink.startsWith('#')))(
    'sees the ink %s on light and dark paper (3 : 1, WCAG 2.2, criterion 1.4.11)',
    (_, ink) => {
      for (const paper of PAPERS) expect(contrast(ink, paper)).toBeGreaterThanOrEqual(3)
    },
  )
})
