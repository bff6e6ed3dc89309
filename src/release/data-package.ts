import { createHash } from 'node:crypto'
import type { Field, ReleasedTable } from './fields.ts'
import type { ReleaseFile } from './files.ts'

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
      const { content } = files.find((f) => f.name === path)!
      return {
        profile: 'tabular-data-resource',
        name: definition.name,
        path,
        title: definition.title,
        description: definition.description,
        format: 'csv',
        mediatype: 'text/csv',
        encoding: 'utf-8',
        bytes: Buffer.byteLength(content),
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
  const sections = tables.map(({ definition, columns }) =>
    [
      `## ${definition.name}: ${definition.title.toLowerCase()}`,
      `${definition.description} ${columns.length} rows.`,
      [
        '| column | type | holds |',
        '| --- | --- | --- |',
        ...definition.fields.map((f) => `| ${f.name} | ${f.type} | ${f.description} |`),
      ].join('\n'),
    ].join('\n\n'),
  )
  return `${['# Codebook', preface, ...sections].join('\n\n')}\n`
}
