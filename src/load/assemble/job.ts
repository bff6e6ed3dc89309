import { type Day, type Outcome, type ProblemTable, RULES, type Rule } from '../../records/index.ts'
import { GrowingInts } from '../growingInts.ts'
import type { Field } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import type { TablePlan } from '../plan.ts'
import type { RawTable } from '../raw.ts'
import { RecordSet } from '../recordSet.ts'

/** One table to be read, with the account of its records. */
export interface TableJob {
  readonly table: RawTable
  readonly plan: TablePlan
  /** Records rejected so far, by index. */
  readonly rejected: RecordSet
  /** Records kept, counted where each is kept and not from the rejected ones: the two must add up. */
  kept: number
  /** Rows made. */
  rows: number
}

export const newJob = (table: RawTable, plan: TablePlan): TableJob => ({
  table,
  plan,
  rejected: new RecordSet(),
  kept: 0,
  rows: 0,
})

export const recordOfRow = (table: RawTable, row: number): number => table.recordOf?.[row] ?? row

/** How many records a table has of its own. */
export function recordsOf(table: RawTable): number {
  const { recordOf, length } = table
  if (recordOf === undefined) return length
  let records = 0
  for (let row = 0; row < length; row++) if (row === 0 || recordOf[row] !== recordOf[row - 1]) records++
  return records
}

const OUTCOMES: readonly Outcome[] = ['rejected', 'emptied', 'kept']
/** The line of a problem in a file without lines. */
const NO_LINE = 0

/** The problems of all tables, by column. A record is rejected once; what else is wrong with it is not told. */
export class ProblemLog {
  length = 0
  private readonly texts = new Interner<string>([''])
  private readonly rules = new Interner<Rule>(RULES)
  private readonly outcomes = new Interner<Outcome>(OUTCOMES)
  private readonly file = new GrowingInts()
  private readonly record = new GrowingInts()
  private readonly line = new GrowingInts()
  private readonly field = new GrowingInts()
  private readonly value = new GrowingInts()
  private readonly rule = new GrowingInts()
  private readonly outcome = new GrowingInts()

  reject(job: TableJob, row: number, field: Field | '', value: string, rule: Rule): void {
    const record = recordOfRow(job.table, row)
    if (job.rejected.has(record)) return
    job.rejected.add(record)
    this.add(job, row, field, value, rule, 'rejected')
  }

  /** Notes a problem of a record that is kept. */
  add(job: TableJob, row: number, field: Field | '', value: string, rule: Rule, outcome: Outcome): void {
    const { table } = job
    const at = this.length++
    this.file.set(at, this.texts.codeOf(table.file))
    this.record.set(at, recordOfRow(table, row) + 1)
    this.line.set(at, table.lineOf === null ? NO_LINE : table.lineOf(row))
    this.field.set(at, this.texts.codeOf(field))
    this.value.set(at, this.texts.codeOf(value))
    this.rule.set(at, this.rules.codeOf(rule))
    this.outcome.set(at, this.outcomes.codeOf(outcome))
  }

  /** The physical line of problem i; null where its file has none. */
  lineAt(i: number): number | null {
    const line = this.line.at(i)
    return line === NO_LINE ? null : line
  }

  /** What was found so far. */
  table(): ProblemTable {
    const { length } = this
    const texts = (codes: GrowingInts) => ({ codes: codes.first(length), values: this.texts.values })
    return {
      length,
      file: texts(this.file),
      record: this.record.first(length),
      field: texts(this.field),
      value: texts(this.value),
      rule: { codes: this.rule.first(length), values: this.rules.values },
      outcome: { codes: this.outcome.first(length), values: this.outcomes.values },
    }
  }
}

/** What every table is read against. */
export interface Reckoning {
  readonly asOf: Day
  readonly log: ProblemLog
  readonly linesWithoutDose: 'rejected' | 'kept'
}
