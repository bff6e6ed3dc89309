import { UserError } from '../errors.ts'
import type { Field, Kind, TableRules } from './guide/guide.ts'
import { plainWord } from './interpret/index.ts'
import { fieldIn } from './kindFields.ts'
import type { RawTable } from './raw.ts'

/** The guide's constants, and what the table's name says by the guide's pattern. */
export function constantsOf(table: RawTable, rules: TableRules, kind: Kind): Map<Field, string> {
  const named = rules.name === undefined ? {} : namedValues(table, rules.name)
  const found = new Map<Field, string>()
  const add = (name: string, value: string): void => {
    const field = fieldIn(kind, name)
    // Who did a session is not who scored: a constant holds for the field it names.
    if (field !== null && field !== 'rater_id') found.set(field, value)
    else if (name === 'rater_id' && field === name) found.set(field, value)
  }
  const above = Object.fromEntries(
    Object.entries(rules.above ?? {}).map(([field, words]) => [field, valueAbove(table, words)]),
  )
  const told = { ...named, ...above }
  for (const [field, value] of Object.entries(told)) add(field, value)
  for (const [field, value] of Object.entries(rules.constants ?? {}))
    add(
      field,
      String(value).replace(/\{(\w+)\}/g, (part, name: string) => told[name] ?? part),
    )
  return found
}

/** What stands after these words in a cell above the headings, or in the next filled cell to its right. */
function valueAbove({ file, above = [] }: RawTable, words: string): string {
  const wanted = plainWord(words).replace(/[\s:]+$/, '')
  for (const row of above)
    for (const [k, cell] of row.entries()) {
      const found = plainWord(cell)
      if (!found.startsWith(wanted) || /^[\p{L}\p{N}]/u.test(found.slice(wanted.length))) continue
      const text = cell.trim().replace(/\s+/g, ' ')
      const after = text.slice(wanted.length).replace(/^[\s:=]+/, '')
      const value = after !== '' ? after : row.slice(k + 1).find((next) => next.trim() !== '')
      if (value !== undefined) return value.trim()
    }
  throw new UserError(
    `${file} has no cell above its headings that begins with "${words}", as the reading guide says. Mend the words, or match only the files that have it.`,
  )
}

/** What a table's name says by the guide's pattern: its sheet's name, its file's name or its whole path fits. */
function namedValues({ file }: RawTable, template: string): Readonly<Record<string, string>> {
  const pattern = namePattern(template)
  const sheet = file.includes('#') ? file.slice(file.indexOf('#') + 1) : null
  const path = sheet === null ? file : file.slice(0, file.indexOf('#'))
  const names = [sheet, path.slice(path.lastIndexOf('/') + 1), path, file]
  for (const name of [...names, ...names.map((packed) => packed?.replace(/\.gz$/i, '') ?? null)]) {
    const match = name === null ? null : pattern.exec(name)
    if (match) return match.groups ?? {}
  }
  throw new UserError(
    `${file} does not fit the reading guide's name pattern "${template}". Mend the pattern, or match only the files it fits.`,
  )
}

function namePattern(template: string): RegExp {
  const source = template.replace(/\{(\w+)\}|\*|[^{*]+|\{/g, (part, field: string | undefined) =>
    field !== undefined
      ? `(?<${field}>.+?)`
      : part === '*'
        ? '.*?'
        : part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'),
  )
  return new RegExp(`^${source}$`, 'u')
}
