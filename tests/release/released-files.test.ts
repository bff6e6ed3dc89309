import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { Ajv } from 'ajv'
import { parquetMetadata, parquetReadObjects } from 'hyparquet'
import { beforeAll, describe, expect, it } from 'vitest'
import { loadFolder } from '../../src/load/index.ts'
import { parseDay } from '../../src/records/index.ts'
import { makeRelease, type Release } from '../../src/release/index.ts'
import { load } from '../load/folder.ts'
import { rowsOf, textOf } from './caseload.ts'
import { plainExports } from './clinic.ts'

const SECRET = new Uint8Array(32).fill(5)
const SCHEMAS = join(import.meta.dirname, 'data')
const DEMO = join(import.meta.dirname, '../../datasets/saltmarsh')

interface Described {
  readonly name: string
  readonly type: 'string' | 'integer' | 'number'
  readonly description: string
  readonly constraints?: {
    readonly required?: boolean
    readonly enum?: readonly string[]
    readonly pattern?: string
  }
}
interface Resource {
  readonly name: string
  readonly path: string
  readonly bytes: number
  readonly hash: string
  readonly schema: {
    readonly fields: readonly Described[]
    readonly primaryKey?: readonly string[]
    readonly foreignKeys?: readonly { fields: string; reference: { resource: string; fields: string } }[]
  }
}

/** What Table Schema lets stand in a cell of a type: https://specs.frictionlessdata.io/table-schema/#types-and-formats. */
const LEXICAL = { string: /^.*$/s, integer: /^[+-]?\d+$/, number: /^[+-]?\d+(\.\d+)?([eE][+-]?\d+)?$/ }

const accepted = ({ type, constraints = {} }: Described, cell: string): boolean =>
  cell === ''
    ? constraints.required !== true
    : LEXICAL[type].test(cell) &&
      (constraints.enum?.includes(cell) ?? true) &&
      new RegExp(constraints.pattern ?? '').test(cell)

let clinic: Release
let demo: Release
beforeAll(async () => {
  const { records, asOf } = await load(plainExports(80))
  const hostile = {
    ...records,
    clients: records.clients.map((c, i) => ({ ...c, group: ['=1+1', 'b'][i % 2]! })),
  }
  clinic = makeRelease(hostile, { asOf, secret: SECRET })
  const loaded = await loadFolder(DEMO, { asOf: parseDay('2026-06-30')! })
  demo = makeRelease(loaded.records, { asOf: loaded.asOf, secret: SECRET })
})
const both = (): Release[] => [clinic, demo]
const resourcesOf = (made: Release): Resource[] => JSON.parse(textOf(made, 'datapackage.json')).resources

describe('datapackage.json', () => {
  it('is taken by the published schemas of Data Package and Table Schema, which refuse what is none', () => {
    const validator = (name: string) => {
      const { $schema: _, ...schema } = JSON.parse(readFileSync(join(SCHEMAS, name), 'utf8'))
      return new Ajv({ strict: false, validateFormats: false, allErrors: true }).compile(schema)
    }
    const [isPackage, isSchema] = [validator('data-package.json'), validator('table-schema.json')]
    for (const made of both()) {
      const json = JSON.parse(textOf(made, 'datapackage.json'))
      expect(isPackage(json), JSON.stringify(isPackage.errors)).toBe(true)
      for (const r of json.resources) expect(isSchema(r.schema), JSON.stringify(isSchema.errors)).toBe(true)
      expect(isPackage({ ...json, resources: [] })).toBe(false)
      expect(isPackage({ ...json, name: 'No Spaces' })).toBe(false)
      expect(isSchema({ fields: [{ name: 'a', type: 'whole number' }] })).toBe(false)
    }
  })

  it('says of every file its size and fingerprint', () => {
    for (const made of both())
      for (const { path, bytes, hash } of resourcesOf(made)) {
        const content = Buffer.from(textOf(made, path))
        expect(content.length).toBe(bytes)
        expect(`sha256:${createHash('sha256').update(content).digest('hex')}`).toBe(hash)
      }
  })

  it('describes every column of the CSV as it is: names, types, allowed values, keys', () => {
    for (const made of both())
      for (const { name, path, schema } of resourcesOf(made)) {
        const heading = textOf(made, path).split('\n')[0]!.split(',')
        expect(heading).toEqual(schema.fields.map((f) => f.name))
        const rows = rowsOf(made, path)
        expect(rows.length, name).toBeGreaterThan(0)
        for (const row of rows) {
          expect(row).toHaveLength(heading.length)
          row.forEach((cell, c) => {
            const field = schema.fields[c]!
            expect(accepted(field, cell), `${path}, ${field.name}: ${cell}`).toBe(true)
          })
        }
        const key = (schema.primaryKey ?? []).map((k) => heading.indexOf(k))
        if (key.length > 0)
          expect(new Set(rows.map((r) => key.map((c) => r[c]).join())).size).toBe(rows.length)
        for (const { fields, reference } of schema.foreignKeys ?? []) {
          expect(reference).toEqual({ resource: 'people', fields: 'person' })
          const people = new Set(rowsOf(made, 'people.csv').map((r) => r[0]))
          for (const row of rows) expect(people.has(row[heading.indexOf(fields)])).toBe(true)
        }
      }
  })
})

describe('the Parquet files', () => {
  const PHYSICAL = { string: 'BYTE_ARRAY', integer: 'INT32', number: 'DOUBLE' }

  it('have the types of the data package, and the cells of the CSV but for the apostrophe of spreadsheets', async () => {
    for (const made of both())
      for (const { name, path, schema } of resourcesOf(made)) {
        const bytes = made.files.find((f) => f.name === `${name}.parquet`)!.content as Uint8Array
        const file = bytes.slice().buffer as ArrayBuffer
        const columns = parquetMetadata(file).schema.slice(1)
        expect(columns.map((c) => [c.name, c.type, c.converted_type === 'UTF8'])).toEqual(
          schema.fields.map((f) => [f.name, PHYSICAL[f.type], f.type === 'string']),
        )
        const rows = await parquetReadObjects({ file })
        const cells = rows.map((r) => schema.fields.map((f) => String(r[f.name] ?? '')))
        const csv = rowsOf(made, path).map((row) =>
          row.map((cell, c) =>
            schema.fields[c]!.type === 'string' ? cell.replace(/^'(?=[=+\-@])/, '') : cell,
          ),
        )
        expect(cells).toEqual(csv)
      }
  })
})

describe('the codebook', () => {
  it('says of every column what the data package says', () => {
    for (const made of both()) {
      const text = textOf(made, 'codebook.md')
      const rows = [...text.matchAll(/^\| (\w+) \| (string|integer|number) \| (.+) \|$/gm)].map((m) =>
        m.slice(1),
      )
      expect(rows).toEqual(
        resourcesOf(made).flatMap((r) => r.schema.fields.map((f) => [f.name, f.type, f.description])),
      )
      expect(text).toContain('Anonymity is a matter of degree')
      expect(text).toContain('No claim of Safe Harbor is made')
    }
  })
})

/** Bounds of whole numbers that must add up to a sum, each narrowed by the others until nothing moves. */
function bounds(sum: number, cells: number, least: number): [number, number][] {
  const found = Array.from({ length: cells }, (): [number, number] => [least, sum])
  for (let moved = true; moved; ) {
    moved = false
    found.forEach((own, i) => {
      const others = found.filter((_, j) => j !== i)
      const low = Math.max(own[0], sum - others.reduce((s, o) => s + o[1], 0))
      const high = Math.min(own[1], sum - others.reduce((s, o) => s + o[0], 0))
      if (low !== own[0] || high !== own[1]) moved = true
      found[i] = [low, high]
    })
  }
  return found
}

describe('small cells of the released tables', () => {
  it('cannot be pinned from the sums: integer bounds, by somebody who knows that no zero is ever hidden', () => {
    let hiddenCells = 0
    for (const made of both()) {
      const reactions = rowsOf(made, 'reactions.csv')
      for (const stimulus of new Set(reactions.map((r) => r[0]))) {
        const rows = reactions.filter((r) => r[0] === stimulus)
        const asked = Number(rows[0]![2])
        const shown = rows.filter((r) => r[3] !== '').map((r) => Number(r[3]))
        const hidden = rows.length - shown.length
        for (const count of shown) expect(count === 0 || count >= 5, `${count} is shown`).toBe(true)
        expect(asked).toBeGreaterThanOrEqual(5)
        const left = asked - shown.reduce((a, b) => a + b, 0)
        hiddenCells += hidden
        if (hidden === 0) {
          expect(left).toBe(0)
          continue
        }
        expect(hidden).toBeGreaterThanOrEqual(2)
        for (const [low, high] of bounds(left, hidden, 1)) expect(high - low).toBeGreaterThanOrEqual(1)
      }
    }
    expect(hiddenCells).toBeGreaterThan(2)
  })

  it('are withheld whole in the outcomes, of which no sum is published', () => {
    for (const made of both())
      for (const [, people, ...figures] of rowsOf(made, 'outcomes.csv'))
        if (people === '') expect(figures.every((f) => f === '')).toBe(true)
        else expect(Number(people)).toBeGreaterThanOrEqual(5)
  })

  it('the bounds are right: three cells of 1 or more that add up to 4, and two that add up to 2', () => {
    expect(bounds(4, 3, 1)).toEqual([
      [1, 2],
      [1, 2],
      [1, 2],
    ])
    expect(bounds(2, 2, 1)).toEqual([
      [1, 1],
      [1, 1],
    ])
  })
})
