import { createHash } from 'node:crypto'
import { parquetWriteBuffer } from 'hyparquet-writer'
import type { Field, ReleasedTable } from './fields.ts'
import type { Cell } from './rows.ts'

/** Numbers as a release writes them: enough digits to work with, none that only the machine knows. */
const NUMBER_DIGITS = 6

const tidy = (x: number): number => Number(x.toPrecision(NUMBER_DIGITS))

/**
 * A cell that a spreadsheet would run as a formula is made harmless by an apostrophe in front: text that begins with
 * `=`, `+`, `-`, `@`, tab or a line break. Numbers are never touched.
 */
export const harmless = (text: string): string => (/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text)

function csvCell(cell: Cell): string {
  if (cell === null) return ''
  if (typeof cell === 'number') return String(tidy(cell))
  const text = harmless(cell)
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}

/** UTF-8, LF, comma, headings first. */
export const csvOf = ({ definition, rows }: ReleasedTable): string =>
  [definition.fields.map((f) => f.name), ...rows].map((row) => `${row.map(csvCell).join(',')}\n`).join('')

/** The same table as Parquet, uncompressed, so that the same rows give the same bytes. */
export function parquetOf({ definition, rows }: ReleasedTable): Uint8Array {
  const columnData = definition.fields.map((field, c) => ({
    name: field.name,
    type:
      field.type === 'string'
        ? ('STRING' as const)
        : field.type === 'integer'
          ? ('INT32' as const)
          : ('DOUBLE' as const),
    nullable: true,
    data: rows.map((row) => {
      const cell = row[c]!
      return typeof cell === 'number' ? tidy(cell) : cell
    }),
  }))
  return new Uint8Array(parquetWriteBuffer({ columnData, codec: 'UNCOMPRESSED' }))
}

/** A file of the release. */
export interface ReleaseFile {
  readonly name: string
  readonly content: string | Uint8Array
}

const bytesOf = (content: string | Uint8Array): Uint8Array =>
  typeof content === 'string' ? new TextEncoder().encode(content) : content

function constraintsOf({ required, oneOf, pattern }: Field): { constraints?: Record<string, unknown> } {
  const constraints = {
    ...(required ? { required } : {}),
    ...(oneOf ? { enum: oneOf } : {}),
    ...(pattern === undefined ? {} : { pattern: `^(${pattern})$` }),
  }
  return Object.keys(constraints).length > 0 ? { constraints } : {}
}

/**
 * `datapackage.json` by the Data Package and Table Schema specifications, version 1 (Frictionless Data), for the
 * CSV files. Nothing in it depends on the day, so the same tables give the same bytes.
 */
export function dataPackage(
  tables: readonly ReleasedTable[],
  files: readonly ReleaseFile[],
  description: string,
): unknown {
  return {
    profile: 'tabular-data-package',
    name: 'anonymised-caseload',
    title: 'Anonymised caseload tables',
    description,
    resources: tables.map(({ definition }) => {
      const path = `${definition.name}.csv`
      const content = bytesOf(files.find((f) => f.name === path)!.content)
      return {
        profile: 'tabular-data-resource',
        name: definition.name,
        path,
        title: definition.title,
        description: definition.description,
        format: 'csv',
        mediatype: 'text/csv',
        encoding: 'utf-8',
        bytes: content.length,
        hash: `sha256:${createHash('sha256').update(content).digest('hex')}`,
        schema: {
          fields: definition.fields.map((f) => ({
            name: f.name,
            type: f.type,
            description: f.description,
            ...constraintsOf(f),
          })),
          missingValues: [''],
          ...(definition.primaryKey ? { primaryKey: definition.primaryKey } : {}),
          ...(definition.person
            ? {
                foreignKeys: [
                  { fields: definition.person, reference: { resource: 'people', fields: 'person' } },
                ],
              }
            : {}),
        },
      }
    }),
  }
}

/** The codebook in Markdown, from the same definitions. */
export function codebook(tables: readonly ReleasedTable[], preface: string): string {
  const sections = tables.map(({ definition, rows }) =>
    [
      `## ${definition.name}: ${definition.title.toLowerCase()}`,
      `${definition.description} ${rows.length} rows.`,
      [
        '| column | type | holds |',
        '| --- | --- | --- |',
        ...definition.fields.map((f) => `| ${f.name} | ${f.type} | ${f.description} |`),
      ].join('\n'),
    ].join('\n\n'),
  )
  return `${['# Codebook', preface, ...sections].join('\n\n')}\n`
}
