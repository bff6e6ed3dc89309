import { UserError } from '../errors.ts'
import { type Candidate, CLAIM, columnCandidates, type Part } from './columnCandidates.ts'
import { constantsOf } from './constants.ts'
import type { DateOrder, Field, Kind, TableRules, Unit } from './guide/guide.ts'
import { guideColumns } from './headings/guideColumns.ts'
import { recogniseHeading } from './headings/recognise.ts'
import { kindOf } from './kind.ts'
import { KIND_FIELDS } from './kindFields.ts'
import { lackingFields } from './lacking.ts'
import type { RawTable } from './raw.ts'
import { isBlankAt } from './rawColumn.ts'

/** A column of the file and what is read from it. */
export interface PlannedColumn {
  readonly index: number
  readonly field: Field
  /** Unit of bare numbers in a session's length; null where nothing tells it. */
  readonly unit: Unit | null
  /** Top of the scale, where the heading says it. */
  readonly scale: number | null
  /** Order of day and month, where the heading says it. */
  readonly order: DateOrder | null
}

/** Columns that make one row of a record: all of it in a long table, one exercise and side in a wide one. */
export interface PlannedGroup extends Part {
  /** True: the record's own row. False: a row only where one of the columns is filled. */
  readonly always: boolean
  readonly columns: readonly PlannedColumn[]
}

/** How a table is read. */
export interface TablePlan {
  readonly kind: Kind
  readonly rules: TableRules
  /** Columns by field; of several the first that is filled counts. */
  readonly columns: ReadonlyMap<Field, readonly PlannedColumn[]>
  readonly groups: readonly PlannedGroup[]
  readonly constants: ReadonlyMap<Field, string>
  /** Fields that every record needs and no heading, constant or name tells. */
  readonly lacking: readonly Field[]
  /** Headings nothing is read from. */
  readonly unused: readonly string[]
}

/** The record's own row: it tells exercise, side and stimulus itself. */
const WHOLE_RECORD: PlannedGroup = { target: null, side: null, stimulus: null, always: true, columns: [] }

/**
 * The kind of a table and what is read from each of its columns; null where its headings say too little.
 * @throws UserError where headings fit two kinds, or two filled columns one field
 */
export function planTable(table: RawTable, rules: TableRules): TablePlan | null {
  const byGuide = guideColumns(table.headings, rules)
  const byWords = table.headings.map((heading) => recogniseHeading(heading))
  const wordsAlone = byWords.map((words, k) => (byGuide[k] ? null : words))
  const kind = kindOf(table, rules, byGuide, wordsAlone)
  if (kind === null) return null
  const candidates = columnCandidates(kind, rules, byGuide, byWords)
  const columns = columnsByField(table, kind, candidates)
  const groups = groupsOf(table, kind, candidates)
  const constants = constantsOf(table, rules, kind)
  return {
    kind,
    rules,
    columns,
    lacking: lackingFields(kind, columns, groups, constants),
    groups: groups.length > 0 ? groups : [WHOLE_RECORD],
    constants,
    unused: unusedHeadings(table, [...columns.values(), ...groups.map((group) => group.columns)].flat()),
  }
}

function unusedHeadings(table: RawTable, columns: readonly PlannedColumn[]): string[] {
  const used = new Set(columns.map((column) => column.index))
  return table.headings.filter((heading, k) => !used.has(k) && heading.trim() !== '')
}

/** The columns that tell each field of the whole record. */
function columnsByField(
  table: RawTable,
  kind: Kind,
  candidates: readonly Candidate[],
): Map<Field, PlannedColumn[]> {
  const whole = candidates.filter((c) => c.part === null)
  return new Map(
    [...KIND_FIELDS[kind]].map((field) => [
      field,
      chosen(
        table,
        field,
        whole.filter((c) => c.planned.field === field),
      ),
    ]),
  )
}

/** The columns of one field: the guide's in its order; else those of the plainest heading, if only one can be meant. */
function chosen(table: RawTable, field: Field, candidates: readonly Candidate[]): PlannedColumn[] {
  const surest = Math.max(...candidates.map((c) => c.claim))
  const best = candidates.filter((c) => c.claim === surest).sort((a, b) => a.rank - b.rank)
  const columns = best.map((c) => c.planned)
  if (columns.length < 2 || surest === CLAIM.guide || !everBothFilled(table, columns)) return columns
  const headings = columns.map((column) => `"${table.headings[column.index]}"`)
  const inner = listWithin(columns.map((column) => table.headings[column.index] as string))
  if (inner !== null)
    throw new UserError(
      `${table.file}: each entry holds a list of records (${headings.slice(0, 2).join(', ')}). Say so in the reading guide: files: - match: "${table.file}", entries: ${inner} (after the key of the outer list, if it has one).`,
    )
  throw new UserError(
    `${table.file}: ${headings.join(' and ')} could each be ${field}. Say which in the reading guide, and "ignore" for the other: columns: { ${headings[0]}: ${field} }.`,
  )
}

/** `visits.scores`, where headings are `visits.0.scores.0.reflex`, `visits.0.scores.1.reflex`; null for any others. */
function listWithin(headings: readonly string[]): string | null {
  const paths = new Set(headings.map((heading) => heading.split(/\.\d+\./).join('.')))
  const lists = (headings[0] as string).split(/\.\d+\./).slice(0, -1)
  return paths.size === 1 && lists.length > 0 ? lists.join('.') : null
}

function everBothFilled(table: RawTable, planned: readonly PlannedColumn[]): boolean {
  const columns = planned.map((column) => table.columns[column.index]).filter((c) => c !== undefined)
  for (let row = 0; row < table.length; row++)
    if (columns.filter((column) => !isBlankAt(column, row)).length > 1) return true
  return false
}

/** The columns that tell of one exercise and side each, together by what they tell of. */
function groupsOf(table: RawTable, kind: Kind, candidates: readonly Candidate[]): PlannedGroup[] {
  const groups = new Map<string, PlannedGroup & { readonly columns: PlannedColumn[] }>()
  for (const { planned, part } of candidates) {
    if (part === null || !GROUP_FIELDS[kind].has(planned.field)) continue
    const key = JSON.stringify([part.target, part.side, part.stimulus])
    const group = groups.get(key) ?? { ...part, always: false, columns: [] }
    const twin = group.columns.find((column) => column.field === planned.field)
    if (twin !== undefined)
      throw new UserError(
        `${table.file}: "${table.headings[twin.index]}" and "${table.headings[planned.index]}" both hold ${planned.field} of the same exercise and side. Set one of them to ignore in the reading guide.`,
      )
    group.columns.push(planned)
    groups.set(key, group)
  }
  return [...groups.values()]
}

/** What a column may tell of one exercise and side. */
const GROUP_FIELDS: Readonly<Record<Kind, ReadonlySet<Field>>> = {
  clients: new Set(),
  assessments: new Set<Field>(['score']),
  programmes: new Set<Field>(['sessions_per_day', 'reps_per_session', 'seconds_per_session', 'intensity']),
  sessions: new Set<Field>(['reps', 'seconds', 'intensity']),
}
