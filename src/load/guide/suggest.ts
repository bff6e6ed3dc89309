import { fieldIn, KIND_FIELDS } from '../kindFields.ts'
import { planTable, type TablePlan } from '../plan.ts'
import type { RawTable } from '../raw.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import { DECIDE, oneLine, quoted, shortly } from './draftText.ts'
import {
  COLUMN_FIELDS,
  type ColumnField,
  type ColumnRule,
  type Field,
  KINDS,
  type Kind,
  type TableRules,
} from './guide.ts'
import { areNumbers, type ColumnDraft, draftColumns, MOST_WORDS } from './suggestColumn.ts'
import { nameLines } from './suggestName.ts'
import { exerciseIn, exercisesOf, wideLines } from './suggestWide.ts'

const HEAD = `# A draft of a reading guide. Look at every line with ${DECIDE}, correct it, and take the mark away.
# What each key means: datasets/reading-guide.md. Headings and words not named here are read by their everyday meaning.
`

const BESIDE = `# What is said already is left out: put these entries at the end of files: in the guide there is.
`

/**
 * Drafts a reading guide from what tables look like. What can be read as it stands, or is said already, is not in it. Every
 * guess is marked {@link DECIDE}; what cannot be guessed stands as a comment. The draft is itself a guide that can be used.
 *
 * @param tables as the files have them; empty ones are passed over, and those that hold nothing by the guide
 * @param rulesFor what a guide says about a table already. Default: nothing
 * @returns YAML
 */
export function suggestGuide(
  tables: readonly RawTable[],
  rulesFor: (file: string) => TableRules = () => ({}),
): string {
  const filled = tables.filter(({ length, headings }) => length > 0 && headings.length > 0)
  const wanted = filled.filter(({ file }) => rulesFor(file).holds !== 'nothing')
  const head = tables.some(({ file }) => Object.keys(rulesFor(file)).length > 0) ? HEAD + BESIDE : HEAD
  const entries = groupsOf(wanted, rulesFor).map((group) => entryOf(group, rulesFor))
  const asked = entries.filter(({ lines }) => lines.length > 0)
  const plain = entries.filter(({ lines }) => lines.length === 0)
  const said = plain.map(({ files }) => `# Read as it stands: ${files.map(oneLine).join(', ')}\n`)
  if (asked.length === 0) return `${head}${said.join('')}# Nothing here needs a guide.\n`
  return `${head}${said.join('')}files:\n${asked.flatMap(({ lines }) => lines).join('\n')}\n`
}

/** Tables with the same headings, in any order, of which the guide says the same: one entry can speak for them. */
function groupsOf(tables: readonly RawTable[], rulesFor: (file: string) => TableRules): RawTable[][] {
  const groups = new Map<string, RawTable[]>()
  for (const table of tables) {
    const { headings, file } = table
    const once = new Set(headings).size === headings.length
    const key = JSON.stringify([once ? headings.toSorted() : headings, rulesFor(file)])
    groups.set(key, [...(groups.get(key) ?? []), table])
  }
  return [...groups.values()]
}

function entryOf(
  group: readonly RawTable[],
  rulesFor: (file: string) => TableRules,
): { files: readonly string[]; lines: readonly string[] } {
  const files = group.map(({ file }) => file)
  const first = group[0] as RawTable
  const rules = rulesFor(first.file)
  const plan = planOf(first, rules)
  const kind = plan?.kind ?? null
  const columns = joinedDrafts(group.map((table) => draftColumns(table, kind, rules)))
  const exercises = rules.wide === undefined ? exercisesOf(columns) : []
  const proposed = columns.flatMap(({ heading, proposed }) =>
    proposed === null ? [] : [[heading, proposed] as const],
  )
  const twice = plan === null ? repeatedHeadings(columns) : []
  const said = { ...rules.columns, ...Object.fromEntries(proposed), ...Object.fromEntries(twice) }
  const guess = plan ?? planOf(first, { ...rules, columns: said })
  const named = rules.name !== undefined || rules.constants?.client_id !== undefined
  const body = [
    ...wideLines(exercises),
    ...columnLines(
      columns.filter(({ heading }) => exerciseIn(heading, exercises) === null),
      guess,
      twice,
    ),
    ...dateLines(columns),
    ...decimalLines(columns),
    ...wordLines(columns, guess?.kind ?? null),
    ...(named ? [] : nameLines(files, columns)),
  ]
  if (kind !== null && body.length === 0) return { files, lines: [] }
  const records = group.reduce((sum, { length }) => sum + length, 0)
  return {
    files,
    lines: [
      '',
      `  # ${records} records in ${files.length === 1 ? '1 table' : `${files.length} tables with the same headings`}`,
      `  - match: ${files.length === 1 ? quoted(files[0] as string) : `[${files.map(quoted).join(', ')}]`}`,
      ...(rules.holds !== undefined
        ? []
        : kind === null
          ? [`    holds: ${guess?.kind ?? 'nothing'} # ${DECIDE}: ${[...KINDS, 'nothing'].join(', ')}`]
          : [`    holds: ${kind}`]),
      ...body,
    ],
  }
}

function planOf(table: RawTable, rules: TableRules): TablePlan | null {
  try {
    return planTable(table, rules)
  } catch {
    // Its headings fit two kinds, or one field twice: for a person to say.
    return null
  }
}

/** One draft for each column of the first table, with what the others of its group hold in the same column. */
function joinedDrafts(drafts: readonly (readonly ColumnDraft[])[]): ColumnDraft[] {
  const [first = [], ...others] = drafts
  return first.map((draft, i) => {
    const same = others.flatMap(
      (other) =>
        (other[i]?.heading === draft.heading
          ? other[i]
          : other.find(({ heading }) => heading === draft.heading)) ?? [],
    )
    const all = [draft, ...same]
    const words = [...new Set(all.flatMap(({ words }) => words))]
    return {
      ...draft,
      proposed: all.find(({ proposed }) => proposed !== null)?.proposed ?? null,
      words: words.length > MOST_WORDS ? [] : words,
      unread: [...new Set(all.flatMap(({ unread }) => unread))],
      ambiguousDates: all.some(({ ambiguousDates }) => ambiguousDates),
      commaNumbers: all.some(({ commaNumbers }) => commaNumbers),
    }
  })
}

/** A heading that stands more than once, and what each of its columns is; all but the first are left out until a person decides. */
type Repeated = readonly [heading: string, rules: readonly ColumnRule[]]

function repeatedHeadings(columns: readonly ColumnDraft[]): Repeated[] {
  const known = columns.filter(({ known }) => known !== null && COLUMN_FIELDS.includes(known as ColumnField))
  return [...new Set(known.map(({ heading }) => heading))].flatMap((heading) => {
    const same = known.filter((column) => column.heading === heading)
    return same.length < 2
      ? []
      : [[heading, same.map(({ known }, i) => (i === 0 ? (known as ColumnField) : 'ignore'))] as const]
  })
}

function repeatedLines(repeated: readonly Repeated[], columns: readonly ColumnDraft[]): string[] {
  return repeated.map(([heading, rules]) => {
    const held = columns.filter((column) => column.heading === heading).map(examples)
    return `      ${quoted(heading)}: [${rules.join(', ')}] # ${DECIDE}: it stands ${rules.length} times; ${held.map((text, i) => `${i + 1}: ${text}`).join('; ')}`
  })
}

function columnLines(
  columns: readonly ColumnDraft[],
  plan: TablePlan | null,
  repeated: readonly Repeated[],
): string[] {
  const asked = columns.filter(({ known }) => known === null)
  const seen = new Set<string>()
  const lines = asked.flatMap((column) => {
    const { heading, proposed } = column
    if (heading.trim() === '' || seen.has(heading)) return []
    seen.add(heading)
    const why = proposed === null ? `what is it?${looks(column)}` : 'by its values;'
    return [
      `      ${quoted(heading)}: ${proposed ?? 'ignore'} # ${DECIDE}: ${why} ${examples(column)}`.trimEnd(),
    ]
  })
  lines.unshift(...besideLines(columns, plan, repeated), ...repeatedLines(repeated, columns))
  if (lines.length === 0) return []
  const open = asked.some(({ proposed }) => proposed === null) && plan !== null
  return [...(open ? openFieldLines(plan, columns) : []), '    columns:', ...lines]
}

/**
 * Where a guide names a column for a field, only those it names count for it: so the headings that are understood as a field
 * which is proposed for another column stand beside it, and first.
 */
function besideLines(
  columns: readonly ColumnDraft[],
  plan: TablePlan | null,
  repeated: readonly Repeated[],
): string[] {
  const fieldOf = (meaning: string): string => (plan === null ? null : fieldIn(plan.kind, meaning)) ?? meaning
  const proposed = new Set(columns.flatMap(({ proposed }) => (proposed === null ? [] : fieldOf(proposed))))
  const twice = new Set(repeated.map(([heading]) => heading))
  const beside = columns.filter(
    ({ heading, known }) => known !== null && !twice.has(heading) && proposed.has(fieldOf(known)),
  )
  const lines = beside.map(({ heading, known }) => `      ${quoted(heading)}: ${fieldOf(known as string)}`)
  return [...new Set(lines)]
}

const looks = ({ words, dates }: ColumnDraft): string =>
  dates ? ' dates;' : areNumbers(words) ? ' numbers;' : ''

/** The fields that one of the headings asked about may hold. */
function openFieldLines({ kind, columns, constants }: TablePlan, drafts: readonly ColumnDraft[]): string[] {
  const told = new Set(drafts.flatMap(({ known, proposed }) => fieldIn(kind, known ?? proposed ?? '') ?? []))
  const open = [...KIND_FIELDS[kind]].filter(
    (field) =>
      field !== 'record_id' &&
      !told.has(field) &&
      !constants.has(field) &&
      (columns.get(field)?.length ?? 0) === 0,
  )
  return open.length === 0
    ? []
    : [`    # Fields of ${kind} that no heading is known to hold: ${open.join(', ')}`]
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

function wordLines(columns: readonly ColumnDraft[], kind: Kind | null): string[] {
  const byField = new Map<string, Set<string>>()
  for (const { known, proposed, unread } of columns) {
    const meaning = known ?? proposed
    if (meaning === null || unread.length === 0) continue
    const field = (kind === null ? null : fieldIn(kind, meaning)) ?? meaning
    byField.set(field, new Set([...(byField.get(field) ?? []), ...unread]))
  }
  if (byField.size === 0) return []
  return [
    `    # ${DECIDE}: words that cannot be read as they stand. Say what each means; those left out come back as problems:`,
    '    # words:',
    ...[...byField].flatMap(([field, texts]) => [
      `    #   ${field}: # ${WORDS_OF_FIELD[field as Field]?.join(', ') ?? `numbers; a mark that is no score goes under no_value: { ${field}: [...] }`}`,
      ...[...texts].map((text) => `    #     ${quoted(oneLine(text))}: ?`),
    ]),
  ]
}
