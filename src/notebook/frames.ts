import { table as arqueroTable, type ColumnTable, from } from 'arquero'
import type { DataFrame } from 'danfojs'
import { UserError } from '../errors.ts'
import type { ArqueroTable } from './blocks.ts'
import { csvOf } from './formats/csv.ts'

/** Anything with rows: an Arquero table, an array of objects, or a block made by `table(…)`. */
export type Rows = ArqueroTable | readonly object[] | { readonly rows: readonly object[] }

type Row = Record<string, unknown>

/** The fields of all rows, in the order in which they are first met; an Arquero table names its own. */
function fieldsOf(rows: Rows): string[] {
  if ('columnNames' in rows) return rows.columnNames()
  return [...new Set(asObjects(rows).flatMap((row) => Object.keys(row)))]
}

/** Rows as plain objects, copies of what they were made from. */
export function asObjects(rows: Rows): Row[] {
  const objects = 'objects' in rows ? rows.objects() : 'rows' in rows ? rows.rows : rows
  return objects.map((row) => ({ ...row }))
}

/** Rows as an Arquero table. A field that a row lacks is null; a table without rows keeps its columns where they are known. */
export function asArquero(rows: Rows): ColumnTable {
  const fields = fieldsOf(rows)
  const objects = asObjects(rows)
  if (objects.length > 0 && fields.length > 0)
    return from(objects.map((row) => Object.fromEntries(fields.map((f) => [f, row[f] ?? null]))))
  return arqueroTable(
    fields.map((f): [string, unknown[]] => [f, []]),
    fields,
  )
}

const plainValue = (value: unknown): string | number | boolean | null => {
  if (value === null || value === undefined || (typeof value === 'number' && Number.isNaN(value))) return null
  if (typeof value === 'number' || typeof value === 'boolean' || typeof value === 'string') return value
  if (value instanceof Date) return value.toISOString().slice(0, 10)
  if (typeof value === 'object' && 'text' in value) return String(value.text)
  return typeof value === 'bigint' ? String(value) : JSON.stringify(value)
}

/**
 * Rows as CSV (RFC 4180, UTF-8, LF), numbers in full, empty for "not known". Text that a spreadsheet would run as a
 * formula gets an apostrophe in front.
 */
export function asCsv(rows: Rows): string {
  const fields = fieldsOf(rows)
  return csvOf(
    fields,
    asObjects(rows).map((row) => Object.fromEntries(fields.map((f) => [f, plainValue(row[f])]))),
  )
}

/**
 * Rows as a danfo.js DataFrame, for those who want one. The library is loaded only here, and is an optional dependency.
 *
 * Nothing that the toolkit publishes is computed with it, for good reason. Known faults of danfojs 1.2.0, each held by
 * tests/notebook/frames.test.ts:
 * - group keys are joined with `-`: the keys (`a-b`, `c`) and (`a`, `b-c`) become ONE group;
 * - arithmetic on a DataFrame (`mul`, `add`, …) and its tensors are float32: 16777217 becomes 16777216;
 * - a group mean with one missing value is NaN, while the mean of a Series skips it; a group count counts missing values;
 * - the standard deviation of one value is 0, where R gives NA.
 * "Not known" becomes NaN in columns of numbers, null elsewhere.
 *
 * @throws UserError where danfojs is not installed, or there are no rows (it cannot hold columns without them)
 */
export async function asDanfo(rows: Rows): Promise<DataFrame> {
  const fields = fieldsOf(rows)
  const objects = asObjects(rows)
  if (objects.length === 0)
    throw new UserError('asDanfo: a danfo.js DataFrame needs a row at least, and there is none.')
  const columns = fields.map((field): [string, unknown[]] => {
    const values = objects.map((row) => plainValue(row[field]))
    const known = values.filter((v) => v !== null)
    const numeric = known.length > 0 && known.every((v) => typeof v === 'number')
    return [field, numeric ? values.map((v) => v ?? Number.NaN) : values]
  })
  const { DataFrame: Frame } = await danfo()
  return new Frame(Object.fromEntries(columns))
}

async function danfo(): Promise<typeof import('danfojs')> {
  try {
    const module = (await import('danfojs')) as typeof import('danfojs') & {
      readonly default?: typeof import('danfojs')
    }
    return module.default ?? module
  } catch (cause) {
    throw new UserError(
      'asDanfo: danfojs cannot be loaded. It is optional: install it beside waneline with "npm install danfojs@1.2.0", or use asArquero.',
      { cause },
    )
  }
}
