import { UserError } from '../errors.ts'
import { TableBuilder } from './formats/tableBuilder.ts'
import type { AcrossRules, TableRules } from './guide/guide.ts'
import { ACROSS_CELLS, ACROSS_HEADINGS, plainHeading } from './headings/acrossColumns.ts'
import { readDate } from './interpret/index.ts'
import type { RawTable } from './raw.ts'
import { textAt } from './rawColumn.ts'

/**
 * A table that has a column for each day (each rater, each reflex), turned so that heading and cell each have a column: a
 * row for each filled cell, all of one record. A record with none filled stays one row whose cell is blank. Other
 * tables come back as they are.
 *
 * @throws UserError where no heading is one of those that the guide speaks of
 */
export function turnedAcross(table: RawTable, rules: TableRules): RawTable {
  const { across } = rules
  if (across === undefined || rules.holds === 'nothing' || table.length === 0) return table
  const turned = table.headings.flatMap((heading, k) => (isAcross(heading, across, rules) ? [k] : []))
  if (turned.length === 0)
    throw new UserError(
      `${table.file}: none of its headings ${across.headings === undefined ? 'is a date' : 'is one of those listed'}, as "across" in the reading guide says. Name them there: headings: [...].`,
    )
  const stay = table.headings.flatMap((_, k) => (turned.includes(k) ? [] : [k]))
  const names = [...stay.map(String), ACROSS_HEADINGS, ACROSS_CELLS]
  const builder = new TableBuilder(table.file, names)
  const rows: number[] = []
  const add = (row: number, k: number): void => {
    builder.begin(table.recordOf?.[row] ?? row)
    rows.push(row)
    const ragged = table.ragged.get(row)
    if (ragged !== undefined) {
      builder.setRagged(ragged)
      return
    }
    for (const other of stay) builder.set(String(other), cell(table, other, row))
    builder.set(ACROSS_HEADINGS, (table.headings[k] as string).trim())
    builder.set(ACROSS_CELLS, cell(table, k, row))
  }
  for (let row = 0; row < table.length; row++) {
    const filled = table.ragged.has(row) ? [] : turned.filter((k) => cell(table, k, row).trim() !== '')
    for (const k of filled.length > 0 ? filled : [turned[0] as number]) add(row, k)
  }
  const made = builder.finish()
  const { lineOf } = table
  return {
    ...table,
    headings: [...stay.map((k) => table.headings[k] as string), ACROSS_HEADINGS, ACROSS_CELLS],
    length: made.length,
    columns: made.columns,
    ragged: made.ragged,
    recordOf: made.recordOf as ArrayLike<number>,
    lineOf: lineOf === null ? null : (row) => lineOf(rows[row] as number),
  }
}

const cell = (table: RawTable, k: number, row: number): string => {
  const column = table.columns[k]
  return column === undefined ? '' : textAt(column, row)
}

/** One of the headings that the guide lists; where it lists none, one that is a date, be its order told or not. */
function isAcross(heading: string, { headings }: AcrossRules, rules: TableRules): boolean {
  if (headings !== undefined) return headings.some((listed) => plainHeading(listed) === plainHeading(heading))
  if (!/\d/.test(heading)) return false
  const words = new Map(
    Object.entries(rules.date_words ?? {}).map(([word, meant]) => [
      word.replace(/\.$/, '').normalize('NFC').toLowerCase(),
      meant,
    ]),
  )
  return (['day-month-year', 'month-day-year'] as const).some(
    (order) => 'value' in readDate(heading, { order, century: 2000, words }),
  )
}
