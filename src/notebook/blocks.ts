import type { Chart } from '../charts/index.ts'

/** What a cell may hold: text, a number, or a link within the page. */
export type CellValue = string | number | boolean | null | { readonly text: string; readonly href: string }

export interface TableColumn {
  readonly field: string
  /** Heading; the field itself where not said. */
  readonly label?: string
  /** `number` is set to the right, `percent` is a share from 0 to 1. */
  readonly format?: 'text' | 'number' | 'percent'
  readonly decimals?: number
}

/**
 * What a row or an entry is about, by the name of a filter of the page ({@link filters}): `{ Site: 'Heron', Reflex: ['Moro', 'Snout'] }`.
 * A filter narrows what has a value for it, and says so of the rest.
 */
export type Facets = Readonly<Record<string, string | readonly string[]>>

export type TableRow = Readonly<Record<string, CellValue | undefined>>

export interface TableBlock {
  readonly kind: 'table'
  readonly caption: string
  readonly columns: readonly Required<TableColumn>[]
  readonly rows: readonly TableRow[]
  /** Anchor of each row, where rows can be linked to. */
  readonly rowIds?: readonly string[]
  /** When each row was, in milliseconds, where a span of time chosen on the page narrows the table. */
  readonly rowTimes?: readonly (number | null)[]
  readonly rowFacets?: readonly Facets[]
}

/** A figure as a tile: a number that matters, what it is, and how sure it is. */
export interface Figure {
  readonly label: string
  readonly value: string
  readonly interval?: string
  readonly note?: string
  readonly href?: string
}

/** How loud a block is: `urgent` needs a person today, `caution` stands beside figures, `plain` says. */
export type Tone = 'urgent' | 'caution' | 'plain'

/** A line about one person or thing: its name, why it is here, and what is on record. */
export interface Entry {
  readonly title: string
  /** Said small under the title. */
  readonly under?: string
  /** The kind of reason, in a word or two. */
  readonly flag?: string
  readonly lead: string
  readonly lines?: readonly string[]
  readonly tone?: Tone
  readonly id?: string
  readonly href?: string
  readonly facets?: Facets
}

/** A heading over the entries with one flag. */
export interface EntryGroup {
  readonly flag: string
  /** Who is meant, in a few words. */
  readonly note: string
  /** How many stand open; the rest are folded. */
  readonly shown: number
}

/** A part of what a page is about: one value of one of its filters. */
export interface Part {
  readonly name: string
  readonly value: string
}

export type Block =
  | { readonly kind: 'markdown'; readonly text: string }
  | { readonly kind: 'chart'; readonly chart: Chart }
  | TableBlock
  | { readonly kind: 'figures'; readonly items: readonly Figure[] }
  | { readonly kind: 'notice'; readonly tone: Tone; readonly title: string; readonly text: string }
  | {
      readonly kind: 'entries'
      readonly caption: string
      readonly items: readonly Entry[]
      readonly shown: number
      /** Where given, entries stand under these headings, in this order, with links to each on top. */
      readonly groups?: readonly EntryGroup[]
    }
  | {
      readonly kind: 'filters'
      readonly dimensions: readonly { readonly name: string; readonly values: readonly string[] }[]
    }
  | {
      readonly kind: 'variants'
      readonly blocks: readonly Block[]
      readonly parts: readonly { readonly part: Part; readonly blocks: readonly Block[] }[]
    }
  | { readonly kind: 'grid'; readonly blocks: readonly Block[] }
  | { readonly kind: 'folded'; readonly title: string; readonly blocks: readonly Block[] }
  | {
      readonly kind: 'choice'
      /** Blocks with the same name switch together, wherever they stand on the page. */
      readonly name: string
      readonly options: readonly { readonly label: string; readonly blocks: readonly Block[] }[]
    }

/** Anything that `show` takes. */
export type Showable = Block | Chart | string | ArqueroTable | readonly TableRow[]

/** As much of an Arquero table as is needed to show one. */
export interface ArqueroTable {
  columnNames(): string[]
  objects(): object[]
}

/** Prose in Markdown, as the notebook's writer wrote it. */
export const markdown = (text: string): Block => ({ kind: 'markdown', text })
/** Figures as tiles beside each other, each with its interval and what it is of. */
export const figures = (items: readonly Figure[]): Block => ({ kind: 'figures', items })
/** One figure as a tile. */
export const figure = (item: Figure): Block => figures([item])
/** A title and a text that stand out: `urgent` needs a person today, `caution` stands beside figures, `plain` says. */
export const notice = (tone: Tone, title: string, text: string): Block => ({
  kind: 'notice',
  tone,
  title,
  text,
})

/**
 * A list of people or things, the most urgent first. Those past `shown` stand folded below. With groups, entries stand
 * under a heading for each flag.
 */
export const entries = (
  caption: string,
  items: readonly Entry[],
  shown = 12,
  groups?: readonly EntryGroup[],
): Block => ({ kind: 'entries', caption, items, shown, ...(groups ? { groups } : {}) })

/**
 * The page's filter bar. What it narrows: rows and entries that have {@link Facets}, which are hidden, and
 * {@link variants}, which were worked out for each part. Whatever does not follow says so. With scripts off everything is
 * shown.
 */
export const filters = (
  dimensions: readonly { readonly name: string; readonly values: readonly string[] }[],
): Block => ({ kind: 'filters', dimensions: dimensions.filter((d) => d.values.length > 1) })

/**
 * Blocks worked out for everything, and again for each part that a filter can choose: nothing is computed in the page.
 * Other forms of the page show everything only.
 */
export const variants = (
  all: readonly Showable[],
  parts: readonly { readonly part: Part; readonly show: readonly Showable[] }[],
): Block => ({
  kind: 'variants',
  blocks: all.map((s) => blockOf(s)),
  parts: parts.map(({ part, show }) => ({ part, blocks: show.map((s) => blockOf(s)) })),
})

/** Blocks side by side where there is room. */
export const grid = (...showables: readonly Showable[]): Block => ({
  kind: 'grid',
  blocks: showables.map((s) => blockOf(s)),
})

/** Blocks behind a line that opens them. */
export const folded = (title: string, ...showables: readonly Showable[]): Block => ({
  kind: 'folded',
  title,
  blocks: showables.map((s) => blockOf(s)),
})

/**
 * The same part of a page worked out for each of several choices ("All sites", "Heron", …), one shown at a time.
 * Every choice is on the page, so it works with scripts off and in print shows the one chosen.
 */
export const choice = (
  name: string,
  options: readonly { readonly label: string; readonly show: readonly Showable[] }[],
): Block => ({
  kind: 'choice',
  name,
  options: options.map(({ label, show }) => ({ label, blocks: show.map((s) => blockOf(s)) })),
})

export interface TableOptions {
  readonly caption?: string
  /** Columns in order; all fields of the first row where not said. */
  readonly columns?: readonly (TableColumn | string)[]
  /** Field that names the row, for links to it. */
  readonly id?: string
  /** What each row is about, for the page's filters; it sees all fields of the row, also those not shown. */
  readonly facets?: (row: TableRow) => Facets
}

const label = (field: string): string => {
  const words = field.replaceAll('_', ' ')
  return words.charAt(0).toUpperCase() + words.slice(1)
}

const plain = (value: unknown): CellValue => {
  if (value === undefined || value === null || (typeof value === 'number' && Number.isNaN(value))) return null
  if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean') return value
  if (value instanceof Date) return value.toISOString().slice(0, 10)
  if (typeof value === 'bigint') return Number(value)
  if (typeof value === 'object' && 'text' in value && 'href' in value)
    return { text: String(value.text), href: String(value.href) }
  return JSON.stringify(value)
}

/** A table of rows. Numbers are set to the right with two decimals where they have any. */
export function table(rows: readonly object[] | ArqueroTable, options: TableOptions = {}): TableBlock {
  const objects = 'objects' in rows ? rows.objects() : rows
  const fields = 'columnNames' in rows ? rows.columnNames() : Object.keys(objects[0] ?? {})
  const plainRows = objects.map((row) =>
    Object.fromEntries(Object.entries(row).map(([field, value]) => [field, plain(value)])),
  )
  const columns = (options.columns ?? fields).map((column) => {
    const given: TableColumn = typeof column === 'string' ? { field: column } : column
    const values = plainRows.map((row) => row[given.field]).filter((v) => v !== null && v !== undefined)
    const numeric = values.length > 0 && values.every((v) => typeof v === 'number')
    return {
      field: given.field,
      label: given.label ?? label(given.field),
      format: given.format ?? (numeric ? ('number' as const) : ('text' as const)),
      decimals:
        given.decimals ?? (given.format === 'percent' || values.every((v) => Number.isInteger(v)) ? 0 : 2),
    }
  })
  const { id, facets } = options
  return {
    kind: 'table',
    caption: options.caption ?? '',
    columns,
    rows: plainRows,
    ...(id === undefined ? {} : { rowIds: plainRows.map((row) => String(row[id] ?? '')) }),
    ...(facets ? { rowFacets: plainRows.map(facets) } : {}),
  }
}

const KINDS = new Set([
  'markdown',
  'chart',
  'table',
  'figures',
  'notice',
  'entries',
  'grid',
  'folded',
  'choice',
  'filters',
  'variants',
])

/** The block that a shown value becomes. A string is Markdown. */
export function blockOf(value: Showable, options: TableOptions = {}): Block {
  if (typeof value === 'string') return markdown(value)
  if (Array.isArray(value)) return table(value, options)
  if (typeof value === 'object' && value !== null) {
    if ('objects' in value && typeof value.objects === 'function') return table(value, options)
    if ('kind' in value && value.kind === 'chart' && 'title' in value) return { kind: 'chart', chart: value }
    if ('kind' in value && KINDS.has(value.kind)) return value
  }
  throw new TypeError(
    `show() takes text, a chart, a table (Arquero or an array of objects) or a block such as figures(…) or notice(…). It was given ${
      value === null ? 'null' : typeof value
    }.`,
  )
}
