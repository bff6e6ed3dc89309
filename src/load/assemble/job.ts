import type { Day, Outcome, Problem, Rule } from '../../records/index.ts'
import type { Field } from '../guide/guide.ts'
import type { TablePlan } from '../plan.ts'
import type { RawTable } from '../raw.ts'

/** One table to be read, with the account of its records. */
export interface TableJob {
  readonly table: RawTable
  readonly plan: TablePlan
  /** Records rejected so far, by index. */
  readonly rejected: Set<number>
  /** Records kept, counted where each is kept and not from the rejected ones: the two must add up. */
  kept: number
  /** Rows made. */
  rows: number
}

export const newJob = (table: RawTable, plan: TablePlan): TableJob => ({
  table,
  plan,
  rejected: new Set(),
  kept: 0,
  rows: 0,
})

/** A problem with the place it was found at. */
export interface FoundProblem extends Problem {
  readonly line: number | null
}

export const recordOfRow = (table: RawTable, row: number): number => table.recordOf?.[row] ?? row

/** How many records a table has of its own. */
export function recordsOf(table: RawTable): number {
  const { recordOf, length } = table
  if (recordOf === undefined) return length
  let records = 0
  for (let row = 0; row < length; row++) if (row === 0 || recordOf[row] !== recordOf[row - 1]) records++
  return records
}

/** The problems of all tables. A record is rejected once; what else is wrong with it is not told. */
export class ProblemLog {
  readonly problems: FoundProblem[] = []

  reject(job: TableJob, row: number, field: Field | '', value: string, rule: Rule): void {
    const record = recordOfRow(job.table, row)
    if (job.rejected.has(record)) return
    job.rejected.add(record)
    this.add(job, row, field, value, rule, 'rejected')
  }

  /** Notes a problem of a record that is kept. */
  add(job: TableJob, row: number, field: Field | '', value: string, rule: Rule, outcome: Outcome): void {
    const { table } = job
    this.problems.push({
      file: table.file,
      record: recordOfRow(table, row) + 1,
      field,
      value,
      rule,
      outcome,
      line: table.lineOf === null ? null : table.lineOf(row),
    })
  }
}

/** What every table is read against. */
export interface Reckoning {
  readonly asOf: Day
  readonly log: ProblemLog
  readonly linesWithoutDose: 'rejected' | 'kept'
}
