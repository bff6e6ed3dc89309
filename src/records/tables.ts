import type { Reflex, Target } from './catalogue.ts'
import type {
  Caution,
  Consent,
  DischargeReason,
  DoneBy,
  Outcome,
  Reaction,
  Rule,
  Sex,
  Side,
  Stimulus,
} from './codes.ts'
import { type Column, columnOf, valueAt } from './column.ts'
import type { Day } from './day.ts'
import type { ProblemTable } from './problems.ts'

/** A person in the clinic's books. `null` is "not known" throughout. */
export interface Client {
  readonly client_id: string
  readonly birth_date: Day | null
  /** Completed weeks at birth, 22 to 44. */
  readonly gestation_weeks: number | null
  readonly sex: Sex | null
  readonly site: string | null
  readonly clinician: string | null
  readonly group: string | null
  readonly enrolled_on: Day | null
  readonly discharged_on: Day | null
  readonly discharge_reason: DischargeReason | null
  /** Sorted, no repeats. Empty is "none on record", which is not "none". */
  readonly cautions: readonly Caution[]
  readonly research_consent: Consent | null
}

/** One score of one reflex on one side by one rater. */
export interface Assessment {
  readonly client_id: string
  readonly assessed_on: Day
  readonly reflex: Reflex
  readonly side: Side
  /** 0 is absent; `scale_max` is the strongest response. */
  readonly score: number
  readonly scale_max: number
  readonly rater_id: string | null
}

/** One prescribed line. At least one of reps and seconds is known. Both days included; no end is still running. */
export interface ProgrammeLine {
  readonly client_id: string
  readonly target: Target
  readonly side: Side
  readonly stimulus: Stimulus | null
  readonly sessions_per_day: number
  readonly reps_per_session: number | null
  readonly seconds_per_session: number | null
  readonly intensity: number | null
  readonly starts_on: Day
  readonly ends_on: Day | null
}

/** One thing done, once, on one side. */
export interface Session {
  readonly client_id: string
  readonly done_on: Day
  /** `HH:MM`, local, where the log has it. */
  readonly done_at: string | null
  readonly target: Target
  readonly side: Side
  readonly stimulus: Stimulus | null
  readonly reps: number | null
  readonly seconds: number | null
  readonly intensity: number | null
  readonly done_by: DoneBy | null
  /** null is "not asked", which is not `none`. */
  readonly reaction: Reaction | null
  readonly note: string | null
}

/**
 * Sessions by column: there may be tens of millions. Row i is `valueAt(table.reps, i)` and so on;
 * {@link sessionAt} gives it as a {@link Session}. Rows are in no promised order.
 */
export interface SessionTable {
  readonly length: number
  readonly client_id: Column<string>
  readonly done_on: Column<Day>
  readonly done_at: Column<string | null>
  readonly target: Column<Target>
  readonly side: Column<Side>
  readonly stimulus: Column<Stimulus | null>
  readonly reps: Column<number | null>
  readonly seconds: Column<number | null>
  readonly intensity: Column<number | null>
  readonly done_by: Column<DoneBy | null>
  readonly reaction: Column<Reaction | null>
  /** Free text, read from where it lies; null where there is none. */
  note(i: number): string | null
}

/** What could not be taken as it stood. */
export interface Problem {
  /** Path under the folder that was read, with `/`; a sheet is `book.xlsx#Sheet`. */
  readonly file: string
  /** The nth record that is not blank after the headings, from 1. */
  readonly record: number
  /** The column of ours that it concerns; empty where the whole record is meant. */
  readonly field: string
  /** The text as found. */
  readonly value: string
  readonly rule: Rule
  readonly outcome: Outcome
}

/** A reaction that could not be taken into the tables: unreadable, or on a session that was rejected. A person must look at the record. */
export interface UnreadReaction {
  readonly file: string
  readonly record: number
  /** The text as found. */
  readonly value: string
  readonly why: 'unreadable' | 'session rejected'
  /** Where the record still says so. */
  readonly client_id: string | null
  readonly done_on: Day | null
}

/** Everything the toolkit works on. Every loader ends here and every measure starts here. */
export interface Records {
  readonly clients: readonly Client[]
  readonly assessments: readonly Assessment[]
  readonly programmes: readonly ProgrammeLine[]
  readonly sessions: SessionTable
  readonly problems: readonly Problem[]
  /** The same by column, where the reader has them so: there may be millions. */
  readonly problemTable?: ProblemTable
  /** Reactions that are in no table. Left out by a reader, those that were unreadable are still found among the problems. */
  readonly unreadReactions?: readonly UnreadReaction[]
}

/** The columns of each table as it is written out, in order. */
export const TABLE_COLUMNS = {
  clients: [
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
  ],
  assessments: ['client_id', 'assessed_on', 'reflex', 'side', 'score', 'scale_max', 'rater_id'],
  programmes: [
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
  ],
  sessions: [
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
  ],
  problems: ['file', 'record', 'field', 'value', 'rule', 'outcome'],
} as const

export type TableName = keyof typeof TABLE_COLUMNS

/** A session table from plain rows: for hand-made cases and small data. */
export function sessionTable(rows: readonly Session[]): SessionTable {
  const notes = rows.map((r) => r.note)
  return {
    length: rows.length,
    client_id: columnOf(rows.map((r) => r.client_id)),
    done_on: columnOf(rows.map((r) => r.done_on)),
    done_at: columnOf(rows.map((r) => r.done_at)),
    target: columnOf(rows.map((r) => r.target)),
    side: columnOf(rows.map((r) => r.side)),
    stimulus: columnOf(rows.map((r) => r.stimulus)),
    reps: columnOf(rows.map((r) => r.reps)),
    seconds: columnOf(rows.map((r) => r.seconds)),
    intensity: columnOf(rows.map((r) => r.intensity)),
    done_by: columnOf(rows.map((r) => r.done_by)),
    reaction: columnOf(rows.map((r) => r.reaction)),
    note: (i) => notes[i] ?? null,
  }
}

/** Row i of a session table. */
export const sessionAt = (t: SessionTable, i: number): Session => ({
  client_id: valueAt(t.client_id, i),
  done_on: valueAt(t.done_on, i),
  done_at: valueAt(t.done_at, i),
  target: valueAt(t.target, i),
  side: valueAt(t.side, i),
  stimulus: valueAt(t.stimulus, i),
  reps: valueAt(t.reps, i),
  seconds: valueAt(t.seconds, i),
  intensity: valueAt(t.intensity, i),
  done_by: valueAt(t.done_by, i),
  reaction: valueAt(t.reaction, i),
  note: t.note(i),
})
