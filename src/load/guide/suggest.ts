import { planTable, type TablePlan } from '../plan.ts'
import type { RawTable } from '../raw.ts'
import { DECIDE, oneLine, quoted } from './draftText.ts'
import { KINDS, type TableRules } from './guide.ts'
import { type ColumnDraft, draftColumns } from './suggestColumn.ts'
import { columnLines, type RepeatedHeading, repeatedHeadings } from './suggestColumnLines.ts'
import { joinedDrafts, type TableGroup, tableGroups } from './suggestGroups.ts'
import { nameLines } from './suggestName.ts'
import { dateLines, decimalLines, wordLines } from './suggestValueLines.ts'
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
  const entries = tableGroups(wanted, rulesFor).map((group) => entryOf(group, rulesFor(group[0].file)))
  const asked = entries.filter(({ lines }) => lines.length > 0)
  const plain = entries.filter(({ lines }) => lines.length === 0)
  const said = plain.map(({ files }) => `# Read as it stands: ${files.map(oneLine).join(', ')}\n`)
  if (asked.length === 0) return `${head}${said.join('')}# Nothing here needs a guide.\n`
  return `${head}${said.join('')}files:\n${asked.flatMap(({ lines }) => lines).join('\n')}\n`
}

/** What a draft says of tables with the same headings; no lines where nothing need be said. */
interface Entry {
  readonly files: readonly string[]
  readonly lines: readonly string[]
}

function entryOf(group: TableGroup, rules: TableRules): Entry {
  const files = group.map(({ file }) => file)
  const [first] = group
  const plan = planOf(first, rules)
  const columns = joinedDrafts(group.map((table) => draftColumns(table, plan?.kind ?? null, rules)))
  const repeated = plan === null ? repeatedHeadings(columns) : []
  const guess = plan ?? planOf(first, { ...rules, columns: columnRules(rules, columns, repeated) })
  const body = bodyLines(files, columns, { rules, guess, repeated })
  if (plan !== null && body.length === 0) return { files, lines: [] }
  const records = group.reduce((sum, { length }) => sum + length, 0)
  const tables = files.length === 1 ? '1 table' : `${files.length} tables with the same headings`
  const match = files.map(quoted).join(', ')
  return {
    files,
    lines: [
      '',
      `  # ${records} records in ${tables}`,
      `  - match: ${files.length === 1 ? match : `[${match}]`}`,
      ...holdsLines(rules, plan, guess),
      ...body,
    ],
  }
}

/** A guide's rules for columns, with those that the draft proposes. */
const columnRules = (
  rules: TableRules,
  columns: readonly ColumnDraft[],
  repeated: readonly RepeatedHeading[],
): NonNullable<TableRules['columns']> => ({
  ...rules.columns,
  ...Object.fromEntries(
    columns.flatMap(({ heading, proposed }) => (proposed === null ? [] : [[heading, proposed]])),
  ),
  ...Object.fromEntries(repeated),
})

/** What was found out of a table before its lines are written. */
interface Findings {
  readonly rules: TableRules
  /** How it would be read if the draft is right; null where it cannot be. */
  readonly guess: TablePlan | null
  readonly repeated: readonly RepeatedHeading[]
}

function bodyLines(
  files: readonly string[],
  columns: readonly ColumnDraft[],
  { rules, guess, repeated }: Findings,
): string[] {
  const exercises = rules.wide === undefined ? exercisesOf(columns) : []
  const narrow = columns.filter(({ heading }) => exerciseIn(heading, exercises) === null)
  const clientTold = rules.name !== undefined || rules.constants?.client_id !== undefined
  return [
    ...wideLines(exercises),
    ...columnLines(narrow, guess, repeated),
    ...dateLines(columns),
    ...decimalLines(columns),
    ...wordLines(columns, guess?.kind ?? null),
    ...(clientTold ? [] : nameLines(files, columns)),
  ]
}

function holdsLines(rules: TableRules, plan: TablePlan | null, guess: TablePlan | null): string[] {
  if (rules.holds !== undefined) return []
  if (plan !== null) return [`    holds: ${plan.kind}`]
  return [`    holds: ${guess?.kind ?? 'nothing'} # ${DECIDE}: ${[...KINDS, 'nothing'].join(', ')}`]
}

function planOf(table: RawTable, rules: TableRules): TablePlan | null {
  try {
    return planTable(table, rules)
  } catch {
    // Its headings fit two kinds, or one field twice: for a person to say.
    return null
  }
}
