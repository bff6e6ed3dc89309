import { UserError } from '../errors.ts'
import type { Field, Kind, TableRules } from './guide/guide.ts'
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
  for (const [field, value] of Object.entries(named)) add(field, value)
  for (const [field, value] of Object.entries(rules.constants ?? {}))
    add(
      field,
      String(value).replace(/\{(\w+)\}/g, (part, name: string) => named[name] ?? part),
    )
  return found
}

/** What a table's name says by the guide's pattern: its sheet's name, its file's name or its whole path fits. */
function namedValues({ file }: RawTable, template: string): Readonly<Record<string, string>> {
  const pattern = namePattern(template)
  const sheet = file.includes('#') ? file.slice(file.indexOf('#') + 1) : null
  const path = sheet === null ? file : file.slice(0, file.indexOf('#'))
  for (const name of [sheet, path.slice(path.lastIndexOf('/') + 1), path, file]) {
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
