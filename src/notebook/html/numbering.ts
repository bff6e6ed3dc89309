import type { Facets } from '../blocks.ts'
import { escapeHtml } from './escape.ts'
import type { LiveChart } from './live/specs.ts'

/** Counts what has been written, so that ids are unique and the same every time. */
export interface Numbering {
  charts: number
  /** Whether charts are drawn still; a part that only scripts show is not, where it can come alive. */
  stills: boolean
  /** Names of the choices met, each with its id and the number of its options. */
  readonly choices: Map<string, { readonly id: string; readonly options: number }>
  /** The charts that can come alive, by their ids; null where the page carries no runtime. */
  readonly live: Map<string, LiveChart> | null
  /** Names and values of facets, each pair with its number. */
  readonly facets: Map<string, number>
  /** For each set of variants in order, its HTML by the number of the facet. */
  readonly variants: Record<number, string>[]
}

export const numbering = (live = true): Numbering => ({
  charts: 0,
  stills: true,
  choices: new Map(),
  live: live ? new Map() : null,
  facets: new Map(),
  variants: [],
})

/** The number of one value of one filter. */
export function facetNumber(numbers: Numbering, name: string, value: string): number {
  const key = JSON.stringify([name, value])
  const at = numbers.facets.get(key) ?? numbers.facets.size
  numbers.facets.set(key, at)
  return at
}

/** The numbers of all that a row or entry is about. */
export const facetNumbers = (numbers: Numbering, facets: Facets): number[] =>
  Object.entries(facets).flatMap(([name, values]) =>
    (typeof values === 'string' ? [values] : values).map((value) => facetNumber(numbers, name, value)),
  )

/** The filters that narrow a set of rows, as an attribute; nothing where none does. */
export function followsAttribute(all: Iterable<Facets | undefined>): string {
  const names = new Set<string>()
  for (const facets of all) for (const name of Object.keys(facets ?? {})) names.add(name)
  return names.size > 0 ? ` data-follows="${escapeHtml(JSON.stringify([...names]))}"` : ''
}
