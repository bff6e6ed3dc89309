import {
  adherence,
  beforeAndAfter,
  clientWeeks,
  type HorizonChange,
  isComputed,
  type Reactions,
  reactions,
} from '../measures/index.ts'
import { type Day, REACTIONS, type Records } from '../records/index.ts'
import { type Cell, type ReleasedTable, releaseTables, type TableDefinition } from './fields.ts'
import type { Person } from './people.ts'
import { hideSmallCells, SMALL_CELL } from './small-cells.ts'
import { inUnits, monthsInUnits, type TimeUnit } from './time-units.ts'

/** A person who leaves: the clinic's own view, the pseudonym, and the released values of the hierarchies' columns. */
export interface ReleasedRow {
  readonly person: Person
  readonly pseudonym: string
  readonly released: readonly string[]
}

export interface TableInput {
  /** Records of the released people only. */
  readonly records: Records
  readonly asOf: Day
  readonly people: readonly ReleasedRow[]
  readonly raters: ReadonlyMap<string, string>
  readonly unit: TimeUnit
  /** Pseudonyms whose scores and weeks do not leave. */
  readonly withheld: ReadonlySet<string>
}

type Row = readonly Cell[]

const compareCells = (a: Cell, b: Cell): number =>
  a === b ? 0 : a === null ? -1 : b === null ? 1 : a < b ? -1 : 1

/** Rows by their cells from left to right: the order says nothing of the order in the clinic's files. */
const sorted = (rows: readonly Row[]): Row[] =>
  rows.toSorted((a, b) => {
    for (let i = 0; i < a.length; i++) {
      const order = compareCells(a[i]!, b[i]!)
      if (order !== 0) return order
    }
    return 0
  })

const peopleRows = ({ people, unit, withheld }: TableInput): Row[] =>
  people.map(({ person, pseudonym, released }) => [
    pseudonym,
    ...released,
    withheld.has(pseudonym) ? null : monthsInUnits(person.monthsFollowed, unit),
  ])

function scoreRows({ people, raters, unit, withheld }: TableInput): Row[] {
  return people.flatMap(({ person, pseudonym }) =>
    withheld.has(pseudonym)
      ? []
      : person.series.flatMap((s) =>
          s.scores.map(
            (score): Row => [
              pseudonym,
              s.reflex,
              s.side,
              person.start === null ? null : inUnits(score.day - person.start, unit),
              score.score,
              s.scaleMax,
              score.rater === null ? null : raters.get(score.rater)!,
            ],
          ),
        ),
  )
}

interface Sums {
  lineDays: number
  dose: number
  full: number
  left: number
  right: number
}

/** Client-weeks gathered into the unit that leaves, each week weighing as many line-days as it has. */
function adherenceRows({ records, asOf, people, unit, withheld }: TableInput): Row[] {
  const pseudonymOf = new Map(people.map((p) => [p.person.client.client_id, p.pseudonym]))
  const log = adherence(records, { asOf })
  const cells = new Map<string, Map<number, Sums>>()
  for (const w of clientWeeks(log.days)) {
    const pseudonym = pseudonymOf.get(w.client_id)
    if (pseudonym === undefined || withheld.has(pseudonym)) continue
    const own = cells.get(pseudonym) ?? new Map<number, Sums>()
    cells.set(pseudonym, own)
    const at = inUnits(w.week * 7, unit)
    const sums = own.get(at) ?? { lineDays: 0, dose: 0, full: 0, left: 0, right: 0 }
    own.set(at, sums)
    sums.lineDays += w.lineDays
    sums.dose += (w.doseFraction.asLogged ?? 0) * w.lineDays
    sums.full += (w.daysInFull.asLogged ?? 0) * w.lineDays
    sums.left += w.leftReps
    sums.right += w.rightReps
  }
  return [...cells].flatMap(([pseudonym, own]) =>
    [...own].map(
      ([at, s]): Row => [
        pseudonym,
        at,
        s.lineDays,
        s.dose / s.lineDays,
        s.full / s.lineDays,
        s.left > 0 && s.right > 0 ? s.left / s.right : null,
      ],
    ),
  )
}

function reactionRows(found: Reactions): Row[] {
  return found.byStimulus.flatMap((s) => {
    const counts = REACTIONS.map((r) => (r === 'none' ? s.asked - s.reactions : s.byReaction[r]))
    const hidden = hideSmallCells({ cells: counts, total: s.asked })
    if (hidden === null) return []
    return REACTIONS.map((reaction, i): Row => [s.stimulus, reaction, s.asked, hidden[i] ? null : counts[i]!])
  })
}

/** Reflexes with fewer people than a small cell keep their row, and nothing in it. */
function outcomeRows({ byReflex }: HorizonChange): Row[] {
  return byReflex.map((r): Row => {
    if (r.clients < SMALL_CELL) return [r.label, null, null, null, null, null, null, null]
    const g = isComputed(r.effect) ? r.effect : null
    return [
      r.label,
      r.clients,
      r.baselineMean,
      r.followUpMean,
      r.meanChange,
      g?.hedgesG ?? null,
      g?.hedgesGInterval.lower ?? null,
      g?.hedgesGInterval.upper ?? null,
    ]
  })
}

/** The five tables. Every row is worked out from the records of the released people alone. */
export function buildTables(input: TableInput): readonly ReleasedTable[] {
  const { records, asOf } = input
  const rows: Record<string, readonly Row[]> = {
    people: peopleRows(input),
    scores: scoreRows(input),
    adherence: adherenceRows(input),
    reactions: reactionRows(reactions(records, { asOf })),
    outcomes: outcomeRows(beforeAndAfter(records, { asOf, draws: 20 }).horizons.weeks12),
  }
  return releaseTables(input.unit).map((definition: TableDefinition) => ({
    definition,
    rows: sorted(rows[definition.name]!),
  }))
}
