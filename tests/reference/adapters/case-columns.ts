import { readFileSync } from 'node:fs'
import path from 'node:path'

export type Found = Record<string, unknown>
type Fields = Record<string, unknown>

/** What of a reference case an adapter reads. */
export interface ReferenceInput {
  readonly input: Fields
  readonly options: Fields
  readonly expected: Fields
}

/** Reads the options of a case and the columns of its input, inline or from a csv beside the file of cases. */
export interface CaseReader extends ReferenceInput {
  /** Names of csv columns by what they hold; absent for inline input. */
  readonly columns: Fields | undefined
  readonly level: number
  has(role: string): boolean
  numbers(role: string): (number | null)[]
  texts(role: string): (string | null)[]
  /** A csv column by its own name. */
  column(name: string): (string | null)[]
  /** Numbers of a csv column, or of an inline array, by its own name. */
  named(name: string): (number | null)[]
}

export type Adapter = (reader: CaseReader) => Found

export const numbersOf = (values: unknown): (number | null)[] => [values].flat().map(asNumber)

function asNumber(value: unknown): number | null {
  if (value === null || value === undefined || value === '') return null
  const number = Number(value)
  if (Number.isNaN(number)) throw new Error(`not a number: ${String(value)}`)
  return number
}

type Row = Readonly<Record<string, string | null>>

/** A small csv: quoted fields, no line breaks within them; an empty cell is missing, a blank line no row (as R reads it). */
function readTable(file: string): Row[] {
  const [heading, ...lines] = readFileSync(file, 'utf8')
    .split(/\r?\n/)
    .filter((line) => line !== '')
    .map(splitLine)
  return lines.map((cells) => Object.fromEntries(heading!.map((name, i) => [name, cells[i] || null])))
}

function splitLine(line: string): string[] {
  const cells = line.match(/("([^"]|"")*"|[^,]*)(,|$)/g) ?? []
  // The pattern matches once more, empty, at the end of a line that does not end in a comma.
  return cells.slice(0, line.endsWith(',') ? undefined : -1).map((cell) =>
    cell
      .replace(/,$/, '')
      .replace(/^"(.*)"$/, '$1')
      .replaceAll('""', '"'),
  )
}

export function readCase(reference: ReferenceInput, folder: string): CaseReader {
  const { input, options } = reference
  const columns = input.columns as Fields | undefined
  const where = Object.entries((columns?.where ?? {}) as Fields)
  const table =
    typeof input.csv === 'string'
      ? readTable(path.join(folder, input.csv)).filter((row) =>
          where.every(([name, value]) => row[name] === String(value)),
        )
      : []
  const column = (name: string) => {
    if (table.length > 0 && !(name in table[0]!)) throw new Error(`no column ${name}`)
    return table.map((row) => row[name] ?? null)
  }
  const values = (role: string): unknown[] => {
    if (columns !== undefined) return column(String(columns[role]))
    if (!(role in input)) throw new Error(`no input ${role}`)
    return [input[role]].flat()
  }
  return {
    ...reference,
    columns,
    level: Number(options.conf_level ?? 0.95),
    has: (role) => role in (columns ?? input),
    numbers: (role) => numbersOf(values(role)),
    texts: (role) => values(role).map((value) => (value === null ? null : String(value))),
    column,
    named: (name) => (columns !== undefined ? column(name).map(asNumber) : numbersOf(input[name])),
  }
}
