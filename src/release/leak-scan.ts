import { UserError } from '../errors.ts'
import { holdsOwnWords, type TableDefinition } from './fields.ts'
import type { ReleaseFile } from './files.ts'
import type { Identifier } from './identifiers.ts'
import { parseCsv } from './parse-csv.ts'

/** A place in the release where an identifier stands. The identifier itself is not repeated. */
export interface Leak {
  readonly file: string
  /** Row from 1, or 0 for a heading, a file name or a page. */
  readonly row: number
  readonly column: string
  readonly what: string
}

type Finder = (text: string) => string | null

/** A text as whole tokens, so that `SM-12` is found in "(SM-12)" and not in "SM-120". */
const tokens = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []

/** Shorter than this, a word or number stands for nobody inside other words ("Group A", "Site 2"), only as a whole cell. */
const SHORTEST_INSIDE = 3
/** In a page of ours a bare number is a figure unless it has so many digits. */
const SHORTEST_NUMBER_IN_PAGES = 6

/**
 * Whether one token alone may be sought in our own pages. A name such as "May" stands rightly in an English sentence, so
 * of single tokens only those that mix letters and digits, and long numbers, tell.
 */
const tellsInPages = (token: string): boolean =>
  /^\d+$/.test(token) ? token.length >= SHORTEST_NUMBER_IN_PAGES : token.length > 2 && /\d/.test(token)

/**
 * Finds identifiers in texts as runs of whole tokens, whatever the case and the signs between them.
 * Built once for many texts: identifiers are looked up by their first token.
 */
export function leakFinder(identifiers: Iterable<Identifier>, place: 'cells' | 'pages' = 'cells'): Finder {
  const byFirst = new Map<string, { readonly rest: readonly string[]; readonly what: string }[]>()
  const whole = new Map<string, string>()
  for (const { what, text, inCellsOnly } of identifiers) {
    const [first, ...rest] = tokens(text)
    if (first === undefined || (place === 'pages' && inCellsOnly)) continue
    if (rest.length === 0) {
      if (place === 'pages' && !tellsInPages(first)) continue
      whole.set(first, what)
      if (first.length < SHORTEST_INSIDE) continue
    }
    const same = byFirst.get(first)
    if (same) same.push({ rest, what })
    else byFirst.set(first, [{ rest, what }])
  }
  return (text) => {
    const words = tokens(text)
    if (words.length === 1 && whole.has(words[0]!)) return whole.get(words[0]!)!
    for (let i = 0; i < words.length; i++)
      for (const { rest, what } of byFirst.get(words[i]!) ?? [])
        if (rest.every((token, j) => words[i + 1 + j] === token)) return what
    return null
  }
}

/** The same texts come back in many rows. */
function remembering(find: Finder): Finder {
  const seen = new Map<string, string | null>()
  return (text) => {
    let found = seen.get(text)
    if (found === undefined) {
      found = find(text)
      if (seen.size < 100_000) seen.set(text, found)
    }
    return found
  }
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
  const [heading, ...rows] = parseCsv(String(file.content))
  const names = definition.fields.map((f) => f.name)
  const leaks: Leak[] = []
  const note = (row: number, column: string, what: string | null): void => {
    if (what !== null) leaks.push({ file: file.name, row, column, what })
  }
  if (heading?.join() !== names.join()) note(0, '', 'a heading that has no place there')
  const finders = columnFinders(definition, find)
  rows.forEach((row, i) => {
    if (row.length !== names.length) note(i + 1, '', 'a cell that has no place there')
    row.forEach((cell, c) => {
      note(i + 1, names[c] ?? '', (finders[c] ?? find)(cell))
    })
  })
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
 */
export function scanForLeaks(
  files: readonly ReleaseFile[],
  definitions: readonly TableDefinition[],
  identifiers: readonly Identifier[],
): Leak[] {
  const inCells = remembering(leakFinder(identifiers))
  const inPages = leakFinder(identifiers, 'pages')
  return files.flatMap((file) => {
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
  })
}

const SHOWN = 5

/** @throws UserError where a file of the release holds an identifier: the place, never the identifier */
export function refuseLeaks(...search: Parameters<typeof scanForLeaks>): void {
  const leaks = scanForLeaks(...search)
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
