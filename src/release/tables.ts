import type { ProgrammeDays, Reactions } from '../measures/index.ts'
import { REACTIONS } from '../records/index.ts'
import type { ClinicView } from './clinic-view.ts'
import { type ReleasedTable, releasedTable } from './fields.ts'
import { type Outcome, outcomesOf } from './outcomes.ts'
import type { Person } from './people.ts'
import { adherenceRows, peopleRows, scoreRows } from './person-rows.ts'
import { adherenceTable } from './person-tables.ts'
import { Columns, compareRows, type Row } from './rows.ts'
import { hideSmallCells, SMALL_CELL } from './small-cells.ts'
import { releaseTables } from './table-definitions.ts'
import type { TimeUnit } from './time-units.ts'

/** A person who leaves: the clinic's own view, the pseudonym, and the released values of the hierarchies' columns. */
export interface ReleasedRow {
  readonly person: Person
  readonly pseudonym: string
  readonly released: readonly string[]
}

export interface TableInput {
  readonly clinic: ClinicView
  /** Sorted by pseudonym. */
  readonly people: readonly ReleasedRow[]
  /** Pseudonyms of the raters; null where who scored does not leave. */
  readonly raters: ReadonlyMap<string, string> | null
  readonly unit: TimeUnit
  /** Smallest group that was asked for. */
  readonly k: number
  /** Pseudonyms whose scores and weeks do not leave. */
  readonly withheld: ReadonlySet<string>
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
const outcomeRows = (outcomes: readonly Outcome[]): Row[] =>
  outcomes.map((r) =>
    r.clients < SMALL_CELL
      ? [r.reflex, null, null, null, null, null, null, null]
      : [r.reflex, r.clients, r.baselineMean, r.followUpMean, r.meanChange, r.hedgesG, r.lower, r.upper],
  )

/** Rows of the adherence table, with the programme days of all clients, each one's own. */
export const adherenceColumns = (days: ProgrammeDays, input: TableInput): Columns =>
  Columns.of(adherenceTable(input.unit).fields.length, adherenceRows(days, input))

/**
 * The five tables. Every row is worked out from the records of the released people alone.
 * @param adherence made before the others, so that the programme days of a large caseload can be let go of
 * @param found reactions of the released people
 */
export function buildTables(
  input: TableInput,
  adherence: Columns,
  found: Reactions,
): readonly ReleasedTable[] {
  // Of whom no score leaves is in no outcome either: the scores of the others, taken from the means, would give theirs back.
  const ids = new Set(
    input.people.filter((p) => !input.withheld.has(p.pseudonym)).map((p) => p.person.client.client_id),
  )
  const changes = input.clinic.changes.filter((c) => ids.has(c.client_id))
  const rows: Record<string, Iterable<Row> | Columns> = {
    people: peopleRows(input),
    scores: scoreRows(input),
    adherence,
    reactions: reactionRows(found).sort(compareRows),
    outcomes: outcomeRows(outcomesOf(changes)).sort(compareRows),
  }
  return releaseTables(input.unit, input.k).map((definition) => {
    const own = rows[definition.name]!
    return releasedTable(definition, own instanceof Columns ? own : Columns.of(definition.fields.length, own))
  })
}
