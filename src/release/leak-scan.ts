import { UserError } from '../errors.ts'
import { holdsOwnWords, type TableDefinition } from './fields.ts'
import type { ReleaseFile } from './files.ts'
import type { Identifier } from './identifiers.ts'
import { type Finder, IdentifierIndex, remembering } from './leak-finder.ts'
import { eachCsvRow } from './parse-csv.ts'

/** A place in the release where an identifier stands. The identifier itself is not repeated. */
export interface Leak {
  readonly file: string
  /** Row from 1, or 0 for a heading, a file name or a page. */
  readonly row: number
  readonly column: string
  readonly what: string
}

const NUMBER = /^-?\d+(\.\d+)?(e[+-]\d+)?$/

/** Says of each column of a table what is wrong with a cell as it was written. */
function columnFinders({ fields }: TableDefinition, find: Finder): Finder[] {
  return fields.map((field) => {
    if (holdsOwnWords(field)) return find
    const allowed = field.oneOf ? new Set(field.oneOf) : null
    const shape = field.type === 'string' ? new RegExp(`^(${field.pattern ?? '.*'})$`, 'u') : NUMBER
    return (cell) =>
      cell === '' || (allowed ? allowed.has(cell) : shape.test(cell))
        ? null
        : 'a word that has no place there'
  })
}

function leaksOfTable(file: ReleaseFile, definition: TableDefinition, find: Finder): Leak[] {
  const names = definition.fields.map((f) => f.name)
  const finders = columnFinders(definition, find)
  const leaks: Leak[] = []
  const note = (row: number, column: string, what: string | null): void => {
    if (what !== null) leaks.push({ file: file.name, row, column, what })
  }
  let rows = 0
  eachCsvRow(String(file.content), (row, index) => {
    rows++
    if (index === 0) {
      if (row.join() !== names.join()) note(0, '', 'a heading that has no place there')
      return
    }
    if (row.length !== names.length) note(index, '', 'a cell that has no place there')
    for (let c = 0; c < row.length; c++) note(index, names[c] ?? '', (finders[c] ?? find)(row[c]!))
  })
  if (rows === 0) note(0, '', 'a heading that has no place there')
  return leaks
}

/** What a person reads of a page: of JSON the keys and texts, of HTML what is neither script nor style. */
function* textsOf({ name, content }: ReleaseFile): Generator<string> {
  const text = String(content)
  if (name.endsWith('.json')) {
    const found: string[] = []
    JSON.parse(text, (key, value) => {
      found.push(key)
      if (typeof value === 'string') found.push(value)
      return value
    })
    yield* found
  } else yield name.endsWith('.html') ? text.replace(/<(script|style)\b.*?<\/\1>/gs, ' ') : text
}

/**
 * Searches every file of a release as it is about to be written: file names, headings, every cell of every CSV, and the
 * pages. Columns with a closed list or a shape may hold nothing else; columns of the clinic's own words are searched for
 * every identifier. Parquet files hold the cells of the CSV beside them.
 *
 * @returns the search, with the identifiers made ready once for as many files as come
 */
export function leakScanner(
  definitions: readonly TableDefinition[],
  identifiers: Iterable<Identifier>,
): (files: readonly ReleaseFile[]) => Leak[] {
  const index = new IdentifierIndex(identifiers)
  const inCells = remembering(index.finder())
  const inPages = index.finder('pages')
  const leaksOf = (file: ReleaseFile): Leak[] => {
    const name = inPages(file.name)
    const leaks: Leak[] = name === null ? [] : [{ file: file.name, row: 0, column: '', what: name }]
    if (typeof file.content !== 'string') return leaks
    const definition = definitions.find((d) => file.name === `${d.name}.csv`)
    if (definition) return [...leaks, ...leaksOfTable(file, definition, inCells)]
    for (const text of textsOf(file)) {
      const what = inPages(text)
      if (what !== null) leaks.push({ file: file.name, row: 0, column: '', what })
    }
    return leaks
  }
  return (files) => files.flatMap(leaksOf)
}

const SHOWN = 5

/** @throws UserError where a file of the release holds an identifier: the place, never the identifier */
export function refuseLeaks(leaks: readonly Leak[]): void {
  if (leaks.length === 0) return
  const places = leaks
    .slice(0, SHOWN)
    .map(
      (l) =>
        `  ${l.file}${l.row > 0 ? `, row ${l.row}` : ''}${l.column ? `, column ${l.column}` : ''}: ${l.what}`,
    )
  throw new UserError(
    `Nothing was written: the release would give away ${leaks.length === 1 ? 'an identifier' : `${leaks.length} identifiers`}.\n${places.join('\n')}\n${leaks.length > SHOWN ? `  and ${leaks.length - SHOWN} more\n` : ''}Most often a client's code or a name stands in the group or site of the clients table. Mend it there, or merge the word in the hierarchies file.`,
  )
}
