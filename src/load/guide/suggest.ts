import { planTable } from '../plan.ts'
import type { RawTable } from '../raw.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import { DECIDE, oneLine, quoted, shortly } from './draftText.ts'
import { type Field, KINDS, type Kind, type TableRules } from './guide.ts'
import { areNumbers, type ColumnDraft, draftColumn, MOST_WORDS } from './suggestColumn.ts'
import { nameLines } from './suggestName.ts'
import { exerciseIn, exercisesOf, wideLines } from './suggestWide.ts'

const HEAD = `# A draft of a reading guide. Look at every line with ${DECIDE}, correct it, and take the mark away.
# What each key means: datasets/reading-guide.md. Headings and words not named here are read by their everyday meaning.
`

/**
 * Drafts a reading guide from what tables look like. What can be read as it stands is not in it. Every guess is marked
 * {@link DECIDE}; what cannot be guessed stands as a comment. The draft is itself a guide that can be used.
 *
 * @param tables as the files have them; empty ones are passed over
 * @returns YAML
 */
export function suggestGuide(tables: readonly RawTable[]): string {
  const groups = groupsOf(tables.filter(({ length, headings }) => length > 0 && headings.length > 0))
  const entries = groups.map(entryOf)
  const asked = entries.filter(({ lines }) => lines.length > 0)
  const plain = entries.filter(({ lines }) => lines.length === 0)
  const said = plain.map(({ files }) => `# Read as it stands: ${files.map(oneLine).join(', ')}\n`)
  if (asked.length === 0) return `${HEAD}${said.join('')}# Nothing here needs a guide.\n`
  return `${HEAD}${said.join('')}files:\n${asked.flatMap(({ lines }) => lines).join('\n')}\n`
}

/** Tables with the same headings, which one entry can speak for. */
function groupsOf(tables: readonly RawTable[]): RawTable[][] {
  const groups = new Map<string, RawTable[]>()
  for (const table of tables) {
    const key = JSON.stringify(table.headings)
    groups.set(key, [...(groups.get(key) ?? []), table])
  }
  return [...groups.values()]
}

function entryOf(group: readonly RawTable[]): { files: readonly string[]; lines: readonly string[] } {
  const files = group.map(({ file }) => file)
  const first = group[0] as RawTable
  const kind = kindOf(first, {})
  const columns = first.headings.map((_, i) => draftColumn(first, i))
  const exercises = exercisesOf(columns)
  const proposed = columns.flatMap(({ heading, proposed }) =>
    proposed === null ? [] : [[heading, proposed] as const],
  )
  const guess = kind ?? kindOf(first, { columns: Object.fromEntries(proposed) })
  const body = [
    ...wideLines(exercises),
    ...columnLines(columns.filter(({ heading }) => exerciseIn(heading, exercises) === null)),
    ...dateLines(columns),
    ...decimalLines(columns),
    ...wordLines(columns),
    ...nameLines(files, columns),
  ]
  if (kind !== null && body.length === 0) return { files, lines: [] }
  const records = group.reduce((sum, { length }) => sum + length, 0)
  return {
    files,
    lines: [
      '',
      `  # ${records} records in ${files.length === 1 ? '1 table' : `${files.length} tables with the same headings`}`,
      `  - match: ${files.length === 1 ? quoted(files[0] as string) : `[${files.map(quoted).join(', ')}]`}`,
      kind === null
        ? `    holds: ${guess ?? 'nothing'} # ${DECIDE}: ${[...KINDS, 'nothing'].join(', ')}`
        : `    holds: ${kind}`,
      ...body,
    ],
  }
}

function kindOf(table: RawTable, rules: TableRules): Kind | null {
  try {
    return planTable(table, rules)?.kind ?? null
  } catch {
    // Its headings fit two kinds, or one field twice: for a person to say.
    return null
  }
}

function columnLines(columns: readonly ColumnDraft[]): string[] {
  const asked = columns.filter(({ known }) => known === null)
  if (asked.length === 0) return []
  const seen = new Set<string>()
  const lines = asked.flatMap((column) => {
    const { heading, proposed } = column
    if (heading.trim() === '' || seen.has(heading)) return []
    seen.add(heading)
    const why =
      proposed === null ? `what is it?${areNumbers(column.words) ? ' numbers;' : ''}` : 'by its values;'
    return [
      `      ${quoted(heading)}: ${proposed ?? 'ignore'} # ${DECIDE}: ${why} ${examples(column)}`.trimEnd(),
    ]
  })
  return lines.length === 0 ? [] : ['    columns:', ...lines]
}

function examples({ words }: ColumnDraft): string {
  if (words.length === 0) return `more than ${MOST_WORDS} different texts`
  return `holds ${words.slice(0, 6).map(shortly).join(', ')}${words.length > 6 ? ', ...' : ''}`
}

function dateLines(columns: readonly ColumnDraft[]): string[] {
  const unclear = columns
    .filter(({ ambiguousDates }) => ambiguousDates)
    .map(({ heading }) => shortly(heading))
  if (unclear.length === 0) return []
  return [
    `    # ${DECIDE}: in ${unclear.join(', ')} nothing shows whether the day or the month comes first:`,
    '    # dates: day-month-year   or   dates: month-day-year',
  ]
}

function decimalLines(columns: readonly ColumnDraft[]): string[] {
  const unclear = columns.filter(({ commaNumbers }) => commaNumbers).map(({ heading }) => shortly(heading))
  if (unclear.length === 0) return []
  return [
    `    # ${DECIDE}: numbers with a comma in ${unclear.join(', ')}. If 1,5 is one and a half:`,
    '    # decimal: comma',
  ]
}

function wordLines(columns: readonly ColumnDraft[]): string[] {
  const byField = new Map<string, Set<string>>()
  for (const { known, proposed, unread } of columns) {
    const field = known ?? proposed
    if (field === null || unread.length === 0) continue
    byField.set(field, new Set([...(byField.get(field) ?? []), ...unread]))
  }
  if (byField.size === 0) return []
  return [
    `    # ${DECIDE}: words that cannot be read as they stand. Say what each means; those left out come back as problems:`,
    '    # words:',
    ...[...byField].flatMap(([field, texts]) => [
      `    #   ${field}: # ${WORDS_OF_FIELD[field as Field]?.join(', ') ?? 'a number, or no_value where it is no score'}`,
      ...[...texts].map((text) => `    #     ${quoted(oneLine(text))}: ?`),
    ]),
  ]
}
