import { type Day, formatDay, partsOf } from '../records/index.ts'

/** Something that must not leave, and what it is. */
export interface Identifier {
  readonly what: string
  readonly text: string
}

/** A place in the release where an identifier stands. The identifier itself is not repeated. */
export interface Leak {
  readonly file: string
  /** Row from 1, or 0 for a heading, a file name or a text page. */
  readonly row: number
  readonly column: string
  readonly what: string
}

const pad = (n: number): string => String(n).padStart(2, '0')

/** The spellings of a date that a text might hold. */
export function dateSpellings(day: Day): readonly string[] {
  const { year, month, date } = partsOf(day)
  return [
    formatDay(day),
    `${pad(date)}/${pad(month)}/${year}`,
    `${pad(month)}/${pad(date)}/${year}`,
    `${date}/${month}/${year}`,
    `${month}/${date}/${year}`,
    `${pad(date)}.${pad(month)}.${year}`,
    `${pad(date)}-${pad(month)}-${year}`,
    `${year}${pad(month)}${pad(date)}`,
  ]
}

/** A text as whole tokens in a line, so that `SM-12` is found in "(SM-12)" and not in "SM-120". */
const tokens = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []

/**
 * Finds identifiers in texts as runs of whole tokens, whatever the case and the signs between them.
 * Built once for many texts: identifiers are looked up by their first token.
 */
export function leakFinder(identifiers: Iterable<Identifier>): (text: string) => string | null {
  const byFirst = new Map<string, { readonly rest: readonly string[]; readonly what: string }[]>()
  for (const { what, text } of identifiers) {
    const [first, ...rest] = tokens(text)
    if (first === undefined) continue
    const same = byFirst.get(first)
    if (same) same.push({ rest, what })
    else byFirst.set(first, [{ rest, what }])
  }
  return (text) => {
    const words = tokens(text)
    for (let i = 0; i < words.length; i++)
      for (const { rest, what } of byFirst.get(words[i]!) ?? [])
        if (rest.every((token, j) => words[i + 1 + j] === token)) return what
    return null
  }
}

/**
 * Searches file names, headings and every text cell. Numbers that the toolkit worked out are not searched: a count of
 * 12 is no client's code. One leak is enough to write nothing.
 *
 * @param tables rows of cells; text cells are strings
 */
export function scanForLeaks(
  tables: readonly {
    readonly file: string
    readonly columns: readonly string[]
    readonly rows: readonly (readonly (string | number | null)[])[]
  }[],
  texts: readonly { readonly file: string; readonly text: string }[],
  identifiers: Iterable<Identifier>,
): Leak[] {
  const find = leakFinder(identifiers)
  const seen = new Map<string, string | null>()
  const look = (text: string): string | null => {
    let found = seen.get(text)
    if (found === undefined) {
      found = find(text)
      if (seen.size < 100_000) seen.set(text, found)
    }
    return found
  }
  const leaks: Leak[] = []
  const note = (file: string, row: number, column: string, text: string): void => {
    const what = look(text)
    if (what !== null) leaks.push({ file, row, column, what })
  }
  for (const { file, columns, rows } of tables) {
    note(file, 0, '', file)
    for (const column of columns) note(file, 0, column, column)
    rows.forEach((row, i) => {
      row.forEach((cell, c) => {
        if (typeof cell === 'string') note(file, i + 1, columns[c]!, cell)
      })
    })
  }
  for (const { file, text } of texts) note(file, 0, '', text)
  return leaks
}
