import { UserError } from '../errors.ts'
import { KINDS, type Kind, type TableRules } from './guide/guide.ts'
import type { GuideColumn } from './headings/guideColumns.ts'
import type { Recognised } from './headings/recognise.ts'
import { readTime } from './interpret/index.ts'
import type { RawTable } from './raw.ts'
import { distinctTexts } from './rawColumn.ts'

/** Facts of which a clients table has two or more. */
const CLIENT_FACTS = [
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
]
/** What only a log of things done has beside target and date. */
const LOG_FACTS = [
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
]

/**
 * Which kind of record a table holds: as the guide or the format says, else as its headings show.
 * @returns null where they show too little
 * @throws UserError where they fit two kinds
 */
export function kindOf(
  table: RawTable,
  rules: TableRules,
  byGuide: readonly (GuideColumn | null)[],
  byWords: readonly (Recognised | null)[],
): Kind | null {
  if (rules.holds !== undefined && rules.holds !== 'nothing') return rules.holds
  if (table.holds !== undefined) return table.holds
  const shown = new Set<string>(Object.keys(rules.constants ?? {}))
  for (const column of byGuide) {
    if (column === null) continue
    for (const field of [column.field, ...(column.also ?? [])]) shown.add(field)
    if (column.target !== undefined) shown.add('target')
  }
  for (const [k, word] of byWords.entries()) {
    if (word === null) continue
    const clock = (word.meaning === 'start' || word.meaning === 'end') && holdsClockTimes(table, k)
    shown.add(clock ? 'time' : word.meaning)
  }
  const sides = byWords.filter((word) => word?.meaning === 'bare_side').length
  const found = kindsShown(shown, sides > 1)
  if (found.length < 2) return found[0] ?? null
  throw new UserError(
    `${table.file}: its headings fit ${found.join(' and ')}. Say which in the reading guide: files: - match: "${table.file}", holds: one of ${KINDS.join(', ')}.`,
  )
}

/** `Start` and `End` over times of day are those of a session, not of a programme. */
function holdsClockTimes(table: RawTable, k: number): boolean {
  const column = table.columns[k]
  if (column === undefined || !('codes' in column)) return false
  let filled = 0
  for (const text of distinctTexts(column, 0)) {
    if (text.trim() === '') continue
    if (!('value' in readTime(text)) || /\d[-/]\d/.test(text)) return false
    filled++
  }
  return filled > 0
}

function kindsShown(shown: ReadonlySet<string>, pairedSides: boolean): Kind[] {
  const any = (...meanings: readonly string[]): boolean => meanings.some((meaning) => shown.has(meaning))
  if (!any('target', 'reflex')) {
    const facts = CLIENT_FACTS.filter((fact) => shown.has(fact)).length
    return facts >= 2 || (any('birth_date') && any('client_id', 'id')) ? ['clients'] : []
  }
  const scored = any('score') || (pairedSides && any('rater_id', 'assessed_on'))
  const dosed = any('sessions_per_day', 'reps_per_session', 'seconds_per_session')
  const planned = any('sessions_per_day', 'starts_on', 'ends_on', 'end')
  // What was to be done beside what was done, on one date: a log that repeats the plan.
  const compared = any('reps_per_session') && any('reps') && any('date', 'done_on') && !planned
  const programme =
    (dosed && !compared && any('starts_on', 'start', 'date', 'sessions_per_day')) ||
    (planned && any('starts_on', 'start') && any('reps', 'seconds', 'minutes', 'hours') && !scored)
  const logged =
    !scored && !planned && any('done_on', 'date', 'start') && (any('done_on') || any(...LOG_FACTS))
  return [
    ...(scored ? (['assessments'] as const) : []),
    ...(programme ? (['programmes'] as const) : []),
    ...(logged && !programme ? (['sessions'] as const) : []),
  ]
}
