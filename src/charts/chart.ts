import type { TopLevelSpec } from 'vega-lite'

/** A column of the table behind a chart. */
export interface ChartColumn {
  readonly field: string
  readonly label: string
  /** Decimals shown; text where absent. */
  readonly decimals?: number
}

export type ChartRow = Readonly<Record<string, string | number | boolean | null>>

/** A Vega-Lite specification. Inline data only. */
export type ChartSpec = TopLevelSpec

/**
 * Widths, in pixels, that a chart is drawn for: half the body of a desk page, so that letters beside each other stand at
 * the size they were drawn, and a phone.
 */
export const WIDE = 540
export const NARROW = 300

/** A chart as the measures room hands it on: everything a page needs to show it honestly, and nothing drawn yet. */
export interface Chart {
  readonly kind: 'chart'
  /** The finding, in a sentence. */
  readonly title: string
  /** Who and how many. */
  readonly subtitle: string
  /** What a screen reader speaks instead of the picture: what is drawn, and what it shows. */
  readonly description: string
  /** One sentence each, for people: what it shows, how to read it, and what it cannot show. */
  readonly shows: string
  readonly reading: string
  readonly limits: string
  /** Null where there is nothing to draw: the title says so, and a page shows no empty frame. */
  readonly spec: ChartSpec | null
  /** The same chart laid out for a phone. */
  readonly narrow: ChartSpec | null
  readonly table: { readonly columns: readonly ChartColumn[]; readonly rows: readonly ChartRow[] }
}

/**
 * What a chart file hands to {@link chart}: the specification as a function of the width it may take. Vega-Lite's own
 * types reject literals that its schema allows; the tests hold every specification against the schema instead.
 */
export interface ChartParts extends Omit<Chart, 'kind' | 'spec' | 'narrow'> {
  /** Whether there is anything to draw; where the table has rows, if not said. */
  readonly drawable?: boolean
  readonly build: (width: number) => Readonly<Record<string, unknown>>
}

/** Puts a chart together, in both layouts. */
export function chart({ build, drawable, ...rest }: ChartParts): Chart {
  const at = (width: number): ChartSpec | null =>
    !(drawable ?? rest.table.rows.length > 0)
      ? null
      : ({
          $schema: 'https://vega.github.io/schema/vega-lite/v6.json',
          description: rest.description,
          background: 'transparent',
          autosize: { type: 'fit-x', contains: 'padding' },
          ...(width === NARROW ? { config: { legend: { columns: 2 }, axisX: { titleAnchor: 'end' } } } : {}),
          ...build(width),
        } as unknown as ChartSpec)
  return { kind: 'chart', ...rest, spec: at(WIDE), narrow: at(NARROW) }
}

const isObject = (x: unknown): x is Record<string, unknown> => typeof x === 'object' && x !== null

/** Every value under a key of this name, anywhere in a specification but in its data. */
function* valuesOf(node: unknown, key: string): Generator<unknown> {
  if (Array.isArray(node)) for (const item of node) yield* valuesOf(item, key)
  else if (isObject(node))
    for (const [name, value] of Object.entries(node)) {
      if (name === key) yield value
      if (name !== 'data' && name !== 'datasets') yield* valuesOf(value, key)
      else if (key === 'url') yield* valuesOf(isObject(value) ? { url: value.url } : value, key)
    }
}

/** Fields that a transform of the specification makes, by the keys under which Vega-Lite names them. */
function madeFields(spec: unknown): Set<string> {
  const made = new Set<string>()
  for (const as of valuesOf(spec, 'as'))
    for (const name of Array.isArray(as) ? as : [as]) if (typeof name === 'string') made.add(name)
  return made
}

function dataFields(node: unknown, found = new Set<string>()): Set<string> {
  if (Array.isArray(node)) for (const item of node) dataFields(item, found)
  else if (isObject(node))
    for (const [name, value] of Object.entries(node)) {
      if (name === 'values' && Array.isArray(value))
        for (const row of value) for (const field of isObject(row) ? Object.keys(row) : []) found.add(field)
      else dataFields(value, found)
    }
  return found
}

/**
 * What is wrong with a specification that the schema cannot see: a field that no row has (it would draw an empty
 * chart without a word), data from anywhere but the specification, a link. Empty where nothing is.
 */
export function checkSpec(spec: ChartSpec): string[] {
  const faults: string[] = []
  for (const key of ['url', 'href'])
    for (const value of valuesOf(spec, key))
      if (value !== undefined) faults.push(`${key} is not allowed: ${JSON.stringify(value)}`)
  const known = new Set([...dataFields(spec), ...madeFields(spec)])
  const fields = [...valuesOf(spec, 'field')].filter((f): f is string => typeof f === 'string')
  if (known.size > 0 || fields.length === 0)
    for (const field of new Set(fields))
      if (!known.has(field)) faults.push(`no row has the field ${JSON.stringify(field)}`)
  return faults
}
