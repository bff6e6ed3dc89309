import type { Outcome, Rule } from './codes.ts'
import { type Column, columnOf, valueAt } from './column.ts'
import type { Problem } from './tables.ts'

/** Problems by column, in the order they were found: a bad export has as many as it has records. */
export interface ProblemTable {
  readonly length: number
  readonly file: Column<string>
  readonly record: Int32Array
  readonly field: Column<string>
  readonly value: Column<string>
  readonly rule: Column<Rule>
  readonly outcome: Column<Outcome>
}

/** Row i of a problem table. */
export const problemAt = (t: ProblemTable, i: number): Problem => ({
  file: valueAt(t.file, i),
  record: t.record[i] as number,
  field: valueAt(t.field, i),
  value: valueAt(t.value, i),
  rule: valueAt(t.rule, i),
  outcome: valueAt(t.outcome, i),
})

/** A problem table from plain rows. */
export const problemTable = (rows: readonly Problem[]): ProblemTable => ({
  length: rows.length,
  file: columnOf(rows.map((r) => r.file)),
  record: Int32Array.from(rows, (r) => r.record),
  field: columnOf(rows.map((r) => r.field)),
  value: columnOf(rows.map((r) => r.value)),
  rule: columnOf(rows.map((r) => r.rule)),
  outcome: columnOf(rows.map((r) => r.outcome)),
})

export interface WithProblems {
  /** Made when first asked for. */
  readonly problems: readonly Problem[]
  readonly problemTable: ProblemTable
}

/**
 * Adds problems to the other tables. As objects they are made only when somebody asks; a copy by `{ ...records }` asks, and leaves
 * the table behind, so that a copy with other problems has no table that says otherwise.
 */
export function withProblems<T extends object>(rest: T, table: ProblemTable): T & WithProblems {
  let made: readonly Problem[] | null = null
  return Object.defineProperties({ ...rest } as T & WithProblems, {
    problems: {
      enumerable: true,
      get: () => {
        made ??= Array.from({ length: table.length }, (_, i) => problemAt(table, i))
        return made
      },
    },
    problemTable: { enumerable: false, value: table },
  })
}
