import { UserError } from '../errors.ts'
import { constantsOf } from './constants.ts'
import type { ColumnField, DateOrder, Field, Kind, TableRules, Unit } from './guide/guide.ts'
import { type GuideColumn, guideColumns } from './headings/guideColumns.ts'
import { type Recognised, recogniseHeading } from './headings/recognise.ts'
import { kindOf } from './kind.ts'
import { fieldIn, GUIDE_ONLY, KIND_FIELDS } from './kindFields.ts'
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
export interface PlannedGroup {
  readonly target: string | null
  readonly side: string | null
  readonly stimulus: string | null
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

const NO_SIDES: Pick<PlannedGroup, 'target' | 'side' | 'stimulus'> = {
  target: null,
  side: null,
  stimulus: null,
}

interface Candidate {
  readonly planned: PlannedColumn
  readonly detail: Omit<GuideColumn, 'also'> | { readonly side?: string }
  readonly priority: number
  readonly rank: number
}

/** The kind of a table and what is read from each of its columns; null where its headings say too little. */
export function planTable(table: RawTable, rules: TableRules): TablePlan | null {
  const byGuide = guideColumns(table.headings, rules)
  const byWords = table.headings.map((heading) => recogniseHeading(heading))
  const kind = kindOf(
    table,
    rules,
    byGuide,
    byWords.map((words, k) => (byGuide[k] ? null : words)),
  )
  if (kind === null) return null
  const candidates = startAsDate(
    kind,
    table.headings.flatMap((_, k) => candidate(k, kind, byGuide[k] ?? null, byWords[k] ?? null, rules)),
    byWords,
  )
  const whole = candidates.filter((c) => !isPart(c))
  const columns = new Map<Field, PlannedColumn[]>()
  for (const field of KIND_FIELDS[kind])
    columns.set(
      field,
      chosen(
        table,
        field,
        whole.filter((c) => c.planned.field === field),
      ),
    )
  const groups = groupsOf(table, candidates.filter(isPart), kind)
  const used = new Set([...columns.values()].flat().map((c) => c.index))
  for (const group of groups) for (const column of group.columns) used.add(column.index)
  const constants = constantsOf(table, rules, kind)
  return {
    kind,
    rules,
    columns,
    lacking: lackingFields(kind, columns, groups, constants),
    groups: groups.length > 0 ? groups : [{ ...NO_SIDES, always: true, columns: [] }],
    constants,
    unused: table.headings.filter((heading, k) => !used.has(k) && heading.trim() !== ''),
  }
}

/** `Started` in a log is its time, or, where nothing else is its date, the date with the time. */
function startAsDate(
  kind: Kind,
  candidates: readonly Candidate[],
  byWords: readonly (Recognised | null)[],
): readonly Candidate[] {
  if (kind !== 'sessions' || candidates.some((c) => c.planned.field === 'done_on')) return candidates
  return candidates.map((c) =>
    c.priority < 3 && byWords[c.planned.index]?.meaning === 'start'
      ? { ...c, planned: { ...c.planned, field: 'done_on' as const } }
      : c,
  )
}

const isPart = (c: Candidate): boolean =>
  'wide' in c.detail || c.detail.side !== undefined || ('target' in c.detail && c.detail.target !== undefined)

function candidate(
  index: number,
  kind: Kind,
  guide: GuideColumn | null,
  words: Recognised | null,
  rules: TableRules,
): Candidate[] {
  if (guide !== null) return guideCandidates(index, kind, guide, words, rules)
  if (words === null || words.meaning === 'personal') return []
  const meaning = words.meaning === 'bare_side' ? sideAlone(kind, words) : words.meaning
  if (meaning === null || GUIDE_ONLY.has(`${kind} ${meaning}`)) return []
  const field = fieldIn(kind, meaning)
  if (field === null) return []
  const unit = words.unit === undefined ? null : (words.unit ?? rules.units?.seconds ?? null)
  return [
    {
      planned: { index, field, unit, scale: words.scale ?? null, order: words.order ?? null },
      detail: words.side === undefined || kind === 'clients' ? {} : { side: words.side },
      priority: field === meaning ? 2 : 1,
      rank: index,
    },
  ]
}

/** `Left` over a score is the left one; in a list of clients it is the day they left. */
function sideAlone(kind: Kind, { side, letter }: Recognised): 'score' | 'discharged_on' | null {
  if (kind === 'assessments') return 'score'
  return kind === 'clients' && side === 'left' && letter !== true ? 'discharged_on' : null
}

function guideCandidates(
  index: number,
  kind: Kind,
  guide: GuideColumn,
  words: Recognised | null,
  rules: TableRules,
): Candidate[] {
  const unit =
    guide.unit ?? (isUnit(guide.field) ? guide.field : (rules.units?.seconds ?? words?.unit ?? 'seconds'))
  const { also = [], ...detail } = guide
  return [guide.field, ...also].flatMap((named, k) => {
    const field = fieldIn(kind, named)
    if (field === null) return []
    const planned = { index, field, unit, scale: words?.scale ?? null, order: words?.order ?? null }
    return [{ planned, detail: k === 0 ? detail : {}, priority: 3, rank: guide.rank }]
  })
}

const isUnit = (field: ColumnField): field is 'minutes' | 'hours' => field === 'minutes' || field === 'hours'

/** The columns of one field: the guide's in its order; else the one with the plainest heading, if only one can be meant. */
function chosen(table: RawTable, field: Field, candidates: readonly Candidate[]): PlannedColumn[] {
  const top = Math.max(...candidates.map((c) => c.priority))
  const best = candidates.filter((c) => c.priority === top).sort((a, b) => a.rank - b.rank)
  if (best.length > 1 && top < 3 && bothFilled(table, best))
    throw new UserError(
      `${table.file}: ${best.map((c) => `"${table.headings[c.planned.index]}"`).join(' and ')} could each be ${field}. Say which in the reading guide, and "ignore" for the other: columns: { "${table.headings[best[0]?.planned.index ?? 0]}": ${field} }.`,
    )
  return best.map((c) => c.planned)
}

function bothFilled(table: RawTable, candidates: readonly Candidate[]): boolean {
  const columns = candidates.map((c) => table.columns[c.planned.index]).filter((c) => c !== undefined)
  for (let row = 0; row < table.length; row++)
    if (columns.filter((column) => !isBlankAt(column, row)).length > 1) return true
  return false
}

function groupsOf(table: RawTable, parts: readonly Candidate[], kind: Kind): PlannedGroup[] {
  const groups = new Map<string, { group: Omit<PlannedGroup, 'columns'>; columns: PlannedColumn[] }>()
  for (const { planned, detail } of parts) {
    if (!GROUP_FIELDS[kind].has(planned.field)) continue
    const target = ('target' in detail ? detail.target : undefined) ?? null
    const stimulus = ('stimulus' in detail ? detail.stimulus : undefined) ?? null
    const side = detail.side ?? null
    const key = JSON.stringify([target, side, stimulus])
    const entry = groups.get(key) ?? { group: { target, side, stimulus, always: false }, columns: [] }
    const twin = entry.columns.find((column) => column.field === planned.field)
    if (twin !== undefined)
      throw new UserError(
        `${table.file}: "${table.headings[twin.index]}" and "${table.headings[planned.index]}" both hold ${planned.field} of the same exercise and side. Set one of them to ignore in the reading guide.`,
      )
    entry.columns.push(planned)
    groups.set(key, entry)
  }
  return [...groups.values()].map(({ group, columns }) => ({ ...group, columns }))
}

const GROUP_FIELDS: Readonly<Record<Kind, ReadonlySet<Field>>> = {
  clients: new Set(),
  assessments: new Set<Field>(['score']),
  programmes: new Set<Field>(['sessions_per_day', 'reps_per_session', 'seconds_per_session', 'intensity']),
  sessions: new Set<Field>(['reps', 'seconds', 'intensity']),
}
