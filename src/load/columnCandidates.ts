import type { ColumnField, Field, Kind, TableRules, Unit } from './guide/guide.ts'
import type { GuideColumn } from './headings/guideColumns.ts'
import type { Recognised } from './headings/recognise.ts'
import { fieldIn, GUIDE_ONLY } from './kindFields.ts'
import type { PlannedColumn } from './plan.ts'

/** What is fixed for a column that tells of one exercise, one side or both, in our words or the guide's. */
export interface Part {
  readonly target: string | null
  readonly side: string | null
  readonly stimulus: string | null
}

/** How sure a column is of its field; of several columns the surest count. */
export const CLAIM = {
  /** The heading is a word for something near: `Assessed on` in a log. */
  near: 1,
  /** The heading is a word for the field. */
  own: 2,
  /** The guide says so: of such columns there may be several. */
  guide: 3,
} as const

/** What one column may be read as. */
export interface Candidate {
  readonly planned: PlannedColumn
  /** Null where the column tells of the whole record. */
  readonly part: Part | null
  readonly claim: (typeof CLAIM)[keyof typeof CLAIM]
  /** Order among the columns of one field. */
  readonly rank: number
}

/**
 * What the columns of a table may be read as: what the guide says of a heading, else what its words mean. Lists are by
 * column, null where guide or words say nothing.
 */
export function columnCandidates(
  kind: Kind,
  rules: TableRules,
  byGuide: readonly (GuideColumn | null)[],
  byWords: readonly (Recognised | null)[],
): readonly Candidate[] {
  const candidates = byWords.flatMap((words, index) => {
    const guide = byGuide[index] ?? null
    if (guide !== null) return guideCandidates(index, kind, guide, words, rules)
    return words === null ? [] : wordCandidates(index, kind, words, rules)
  })
  return kind === 'sessions' ? startAsDate(candidates, byWords) : candidates
}

function guideCandidates(
  index: number,
  kind: Kind,
  guide: GuideColumn,
  words: Recognised | null,
  rules: TableRules,
): Candidate[] {
  const { field: named, also = [], target = null, side = null, stimulus = null } = guide
  const unit = guide.unit ?? (isUnit(named) ? named : (rules.units?.seconds ?? words?.unit ?? 'seconds'))
  const isPart = guide.wide === true || target !== null || side !== null
  return [named, ...also].flatMap((meaning, k) => {
    const field = fieldIn(kind, meaning)
    if (field === null) return []
    // What a column tells besides (its date, its note) is of the whole record.
    const part = isPart && k === 0 ? { target, side, stimulus } : null
    return [{ planned: planned(index, field, unit, words), part, claim: CLAIM.guide, rank: guide.rank }]
  })
}

const isUnit = (field: ColumnField): field is 'minutes' | 'hours' => field === 'minutes' || field === 'hours'

function wordCandidates(index: number, kind: Kind, words: Recognised, rules: TableRules): Candidate[] {
  if (words.meaning === 'personal') return []
  const meaning = words.meaning === 'bare_side' ? bareSide(kind, words) : words.meaning
  if (meaning === null || GUIDE_ONLY.has(`${kind} ${meaning}`)) return []
  const field = fieldIn(kind, meaning)
  if (field === null) return []
  const unit = words.unit === undefined ? null : (words.unit ?? rules.units?.seconds ?? null)
  const isPart = words.side !== undefined && kind !== 'clients'
  return [
    {
      planned: planned(index, field, unit, words),
      part: isPart ? { target: null, side: words.side, stimulus: null } : null,
      claim: field === meaning ? CLAIM.own : CLAIM.near,
      rank: index,
    },
  ]
}

/** `Left` over a score is the left one; in a list of clients it is the day they left. */
function bareSide(kind: Kind, { side, letter }: Recognised): 'score' | 'discharged_on' | null {
  if (kind === 'assessments') return 'score'
  return kind === 'clients' && side === 'left' && letter !== true ? 'discharged_on' : null
}

const planned = (
  index: number,
  field: Field,
  unit: Unit | null,
  words: Recognised | null,
): PlannedColumn => ({ index, field, unit, scale: words?.scale ?? null, order: words?.order ?? null })

/** `Started` in a log is its time, or, where nothing else is its date, the date with the time. */
function startAsDate(
  candidates: readonly Candidate[],
  byWords: readonly (Recognised | null)[],
): readonly Candidate[] {
  if (candidates.some((c) => c.planned.field === 'done_on')) return candidates
  return candidates.map((c) =>
    c.claim !== CLAIM.guide && byWords[c.planned.index]?.meaning === 'start'
      ? { ...c, planned: { ...c.planned, field: 'done_on' } }
      : c,
  )
}
