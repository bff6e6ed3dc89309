import { UserError } from '../errors.ts'
import {
  type ColumnField,
  type DateOrder,
  type Field,
  KINDS,
  type Kind,
  type TableRules,
  type Unit,
} from './guide/guide.ts'
import { type GuideColumn, guideColumns } from './headings/guideColumns.ts'
import { type Recognised, recogniseHeading } from './headings/recognise.ts'
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
  /** Headings nothing is read from. */
  readonly unused: readonly string[]
}

const NO_SIDES: Pick<PlannedGroup, 'target' | 'side' | 'stimulus'> = {
  target: null,
  side: null,
  stimulus: null,
}

const KIND_FIELDS: Readonly<Record<Kind, ReadonlySet<Field>>> = {
  clients: new Set<Field>([
    'client_id',
    'birth_date',
    'gestation_weeks',
    'sex',
    'site',
    'clinician',
    'group',
    'enrolled_on',
    'discharged_on',
    'discharge_reason',
    'cautions',
    'research_consent',
    'record_id',
  ]),
  assessments: new Set<Field>([
    'client_id',
    'assessed_on',
    'reflex',
    'side',
    'score',
    'scale_max',
    'rater_id',
    'record_id',
  ]),
  programmes: new Set<Field>([
    'client_id',
    'target',
    'side',
    'stimulus',
    'sessions_per_day',
    'reps_per_session',
    'seconds_per_session',
    'intensity',
    'starts_on',
    'ends_on',
    'record_id',
  ]),
  sessions: new Set<Field>([
    'client_id',
    'done_on',
    'done_at',
    'target',
    'side',
    'stimulus',
    'reps',
    'seconds',
    'intensity',
    'done_by',
    'reaction',
    'note',
    'record_id',
  ]),
}

/** What words that fit several kinds mean in each. */
const IN_KIND: Readonly<Record<Kind, Readonly<Record<string, Field>>>> = {
  clients: { id: 'client_id' },
  assessments: {
    date: 'assessed_on',
    done_on: 'assessed_on',
    target: 'reflex',
    clinician: 'rater_id',
    person: 'rater_id',
    done_by: 'rater_id',
  },
  programmes: {
    date: 'starts_on',
    start: 'starts_on',
    end: 'ends_on',
    reflex: 'target',
    reps: 'reps_per_session',
    seconds: 'seconds_per_session',
    hours: 'seconds_per_session',
    minutes: 'seconds_per_session',
  },
  sessions: {
    date: 'done_on',
    time: 'done_at',
    reflex: 'target',
    person: 'done_by',
    reps_per_session: 'reps',
    seconds_per_session: 'seconds',
    minutes: 'seconds',
    hours: 'seconds',
    start: 'done_at',
    assessed_on: 'done_on',
  },
}
/** Of these a heading alone is no proof; they are taken where the guide says them. */
const GUIDE_ONLY: ReadonlySet<string> = new Set(['programmes date', 'sessions assessed_on'])

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
  const candidates = table.headings.flatMap((_, k) =>
    candidate(k, kind, byGuide[k] ?? null, byWords[k] ?? null, rules),
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
  const groups = groupsOf(candidates.filter(isPart), kind)
  const used = new Set([...columns.values()].flat().map((c) => c.index))
  for (const group of groups) for (const column of group.columns) used.add(column.index)
  return {
    kind,
    rules,
    columns,
    groups: groups.length > 0 ? groups : [{ ...NO_SIDES, always: true, columns: [] }],
    constants: constantsOf(table, rules, kind),
    unused: table.headings.filter((heading, k) => !used.has(k) && heading.trim() !== ''),
  }
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
  const meaning = words.meaning === 'bare_side' ? (kind === 'assessments' ? 'score' : null) : words.meaning
  if (meaning === null || GUIDE_ONLY.has(`${kind} ${meaning}`)) return []
  const field = fieldIn(kind, meaning)
  if (field === null) return []
  const unit = words.unit === undefined ? null : (words.unit ?? rules.units?.seconds ?? null)
  return [
    {
      planned: { index, field, unit, scale: words.scale ?? null, order: words.order ?? null },
      detail: words.side === undefined ? {} : { side: words.side },
      priority: field === meaning ? 2 : 1,
      rank: index,
    },
  ]
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

function fieldIn(kind: Kind, meaning: string): Field | null {
  const fields = KIND_FIELDS[kind]
  if (fields.has(meaning as Field)) return meaning as Field
  return IN_KIND[kind][meaning] ?? null
}

function kindOf(
  table: RawTable,
  rules: TableRules,
  byGuide: readonly (GuideColumn | null)[],
  byWords: readonly (Recognised | null)[],
): Kind | null {
  if (rules.holds !== undefined && rules.holds !== 'nothing') return rules.holds
  if (table.holds !== undefined) return table.holds
  const has = new Set<string>()
  byGuide.forEach((column) => {
    if (column !== null) has.add(column.field)
  })
  byWords.forEach((word) => {
    if (word !== null) has.add(word.meaning)
  })
  for (const field of Object.keys(rules.constants ?? {})) has.add(field)
  const any = (...meanings: string[]): boolean => meanings.some((m) => has.has(m))
  const count = (...meanings: string[]): number => meanings.filter((m) => has.has(m)).length
  const target = any('target', 'reflex') || byGuide.some((column) => column?.target !== undefined)
  const found: Kind[] = []
  const clientFacts = count(
    'birth_date',
    'gestation_weeks',
    'sex',
    'enrolled_on',
    'discharged_on',
    'discharge_reason',
    'cautions',
    'research_consent',
    'group',
    'site',
  )
  if (!target && clientFacts >= 2) found.push('clients')
  if (target && any('score')) found.push('assessments')
  if (
    target &&
    any('sessions_per_day', 'reps_per_session', 'seconds_per_session') &&
    any('starts_on', 'start', 'date', 'sessions_per_day')
  )
    found.push('programmes')
  const plan = any('sessions_per_day') || any('starts_on', 'ends_on', 'end')
  if (
    target &&
    !any('score') &&
    !plan &&
    any('done_on', 'date', 'start') &&
    any(
      'reps',
      'seconds',
      'minutes',
      'hours',
      'time',
      'done_at',
      'done_by',
      'reaction',
      'stimulus',
      'intensity',
      'reps_per_session',
      'person',
      'note',
    )
  )
    found.push('sessions')
  if (found.length === 0 && target && plan && any('starts_on', 'start') && any('reps', 'seconds'))
    found.push('programmes')
  if (found.includes('programmes') && found.includes('sessions')) return 'programmes'
  if (found.length > 1)
    throw new UserError(
      `${table.file}: its headings fit ${found.join(' and ')}. Say which in the reading guide: files: - match: "${table.file}", holds: one of ${KINDS.join(', ')}.`,
    )
  return found[0] ?? null
}

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

function groupsOf(parts: readonly Candidate[], kind: Kind): PlannedGroup[] {
  const groups = new Map<string, { group: Omit<PlannedGroup, 'columns'>; columns: PlannedColumn[] }>()
  for (const { planned, detail } of parts) {
    if (!GROUP_FIELDS[kind].has(planned.field)) continue
    const target = ('target' in detail ? detail.target : undefined) ?? null
    const stimulus = ('stimulus' in detail ? detail.stimulus : undefined) ?? null
    const side = detail.side ?? null
    const key = JSON.stringify([target, side, stimulus])
    const entry = groups.get(key) ?? { group: { target, side, stimulus, always: false }, columns: [] }
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

/** The guide's constants, and what the table's name says by the guide's pattern. */
function constantsOf(table: RawTable, rules: TableRules, kind: Kind): Map<Field, string> {
  const found = new Map<Field, string>()
  const add = (name: string, value: string): void => {
    const field = fieldIn(kind, name)
    if (field !== null) found.set(field, value)
  }
  for (const [field, value] of Object.entries(rules.constants ?? {})) add(field, String(value))
  if (rules.name === undefined) return found
  const pattern = namePattern(rules.name)
  const sheet = table.file.includes('#') ? table.file.slice(table.file.indexOf('#') + 1) : null
  const path = sheet === null ? table.file : table.file.slice(0, table.file.indexOf('#'))
  const names = [sheet, path.slice(path.lastIndexOf('/') + 1), path, table.file]
  for (const name of names) {
    const match = name === null ? null : pattern.exec(name)
    if (!match) continue
    for (const [field, value] of Object.entries(match.groups ?? {})) add(field, value)
    return found
  }
  throw new UserError(
    `${table.file} does not fit the reading guide's name pattern "${rules.name}". Mend the pattern, or match only the files it fits.`,
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
