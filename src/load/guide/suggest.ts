import { headingPhrase } from '../headings/recognise.ts'
import { SIDE_WORDS, UNIT_WORDS } from '../headings/words.ts'
import { readTarget } from '../interpret/reflex.ts'
import { planTable } from '../plan.ts'
import type { RawTable } from '../raw.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import { type Field, KINDS, type Kind, type TableRules } from './guide.ts'
import { areNumbers, type ColumnDraft, draftColumn, MOST_WORDS } from './suggestColumn.ts'

/** Marks every line where a person has to look. */
export const DECIDE = 'DECIDE'

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

/** The exercise's words in a heading such as `Back R mins`, without those of a side or a measure; null where it has neither. */
function exerciseOf(heading: string): string | null {
  const words = headingPhrase(heading).split(' ')
  const left = words.filter(
    (word) => SIDE_WORDS[word] === undefined && UNIT_WORDS[word] === undefined && !MEASURES.has(word),
  )
  return left.length === words.length || left.length === 0 ? null : left.join(' ')
}

/** Exercises of a table that looks wide; none where it does not. */
function exercisesOf(columns: readonly ColumnDraft[]): readonly string[] {
  const found = columns.flatMap(({ heading, known }) => (known === null ? (exerciseOf(heading) ?? []) : []))
  return found.length >= FEWEST_WIDE_COLUMNS ? [...new Set(found)] : []
}

const exerciseIn = (heading: string, exercises: readonly string[]): string | null => {
  const exercise = exerciseOf(heading)
  return exercise !== null && exercises.includes(exercise) ? exercise : null
}

const FEWEST_WIDE_COLUMNS = 3
const MEASURES: ReadonlySet<string> = new Set([
  'reps',
  'strokes',
  'times',
  'count',
  'level',
  'setting',
  'score',
  'grade',
])

function wideLines(exercises: readonly string[]): string[] {
  if (exercises.length === 0) return []
  return [
    `    # ${DECIDE}: headings look like one column for each exercise, side and measure. If so, say what each exercise is:`,
    '    # wide:',
    '    #   exercises:',
    ...exercises.map((exercise) => {
      const reading = readTarget(exercise)
      const target = 'value' in reading ? String(reading.value) : '?'
      return `    #     ${quoted(exercise)}: { target: ${target}, stimulus: ? }`
    }),
  ]
}

/** Where no column holds the client, the names of files or sheets may. */
function nameLines(files: readonly string[], columns: readonly ColumnDraft[]): string[] {
  if (
    columns.some(({ known, proposed }) => known === 'client_id' || known === 'id' || proposed === 'client_id')
  )
    return []
  const sheet = files.every((file) => file.includes('#'))
  const names = files.map((file) =>
    sheet ? file.slice(file.indexOf('#') + 1) : file.slice(file.lastIndexOf('/') + 1),
  )
  const [before, after] = names.length > 1 ? sharedEnds(names) : ['', sheet ? '' : '.csv']
  return [
    `    # ${DECIDE}: no heading is known to hold the client. If ${sheet ? "a sheet's" : "a file's"} name does:`,
    `    # name: ${quoted(`${before}{client_id}${after}`)}`,
  ]
}

function sharedEnds(names: readonly string[]): [string, string] {
  const first = names[0] as string
  let start = 0
  while (start < first.length && names.every((name) => name[start] === first[start])) start++
  // A code is not cut in two: SM-0912 and SM-0913 differ in their last digit only.
  while (start > 0 && /[\p{L}\p{N}-]/u.test(first[start - 1] as string)) start--
  let end = 0
  while (end < first.length - start && names.every((name) => name.at(-1 - end) === first.at(-1 - end))) end++
  while (end > 0 && /[\p{L}\p{N}-]/u.test(first.at(-end) as string) && !first.slice(-end).startsWith('.'))
    end--
  return [first.slice(0, start), end === 0 ? '' : first.slice(-end)]
}

/** A text as YAML can hold it in one line. */
const quoted = (text: string): string =>
  /^[\p{L}][\p{L}\p{N} _()/+-]*$/u.test(text) && text === text.trim() ? text : JSON.stringify(text)
const oneLine = (text: string): string => text.replace(/[\x00-\x1f\u2028\u2029\u0085\ufeff]/g, ' ')
const shortly = (text: string): string => JSON.stringify(oneLine(text).slice(0, 40))
