import { type Day, dayOf } from '../../records/index.ts'
import {
  BLANK,
  columnView,
  type Encode,
  type FieldView,
  fieldView,
  problemCode,
  withGuide,
} from '../fieldView.ts'
import type { DateField, DateOrder, DateWord, DayNumbers, Field, TableRules } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import {
  type DateOptions,
  type DateReading,
  provenOrder,
  type Reading,
  readCount,
  readDate,
  readDuration,
  readIntensity,
  readTime,
  timeOfFraction,
} from '../interpret/index.ts'
import type { PlannedColumn, TablePlan } from '../plan.ts'
import type { RawColumn, RawTable } from '../raw.ts'
import { distinctTexts } from '../rawColumn.ts'

/** Code of an interpreter's answer: the value's number, or the rule it breaks. */
export const codeOf = <T>(interner: Interner<T>, reading: Reading<T>): number =>
  'value' in reading ? interner.codeOf(reading.value) : problemCode(reading.rule)

/** An interpreter as an encoder. */
export const encoder =
  <T>(interner: Interner<T>, interpret: (text: string) => Reading<T>): Encode =>
  (text) =>
    codeOf(interner, interpret(text))

export const countEncoder = (plan: TablePlan, interner: Interner<number | null>): Encode => {
  const options = plan.rules.decimal === undefined ? {} : { decimal: plan.rules.decimal }
  return (text) => codeOf(interner, readCount(text, options))
}

export const intensityEncoder = (plan: TablePlan, interner: Interner<number | null>): Encode => {
  const options = plan.rules.decimal === undefined ? {} : { decimal: plan.rules.decimal }
  return (text) => codeOf(interner, readIntensity(text, options))
}

export const durationEncoder = (plan: TablePlan, interner: Interner<number | null>): Encode => {
  const decimal = plan.rules.decimal === undefined ? {} : { decimal: plan.rules.decimal }
  return (text, column) =>
    codeOf(
      interner,
      readDuration(text, {
        ...decimal,
        unit: column === null ? (plan.rules.units?.seconds ?? 'seconds') : column.unit,
      }),
    )
}

/** Dates of one field with the times that stand beside them. */
export interface DateView extends FieldView {
  /** The reading's number in {@link readings}; problems as in every view. */
  readonly readings: Interner<DateReading>
}

export const newDates = (): Interner<DateReading> =>
  new Interner<DateReading>([], (d) => `${d.day} ${d.time} ${d.badTime}`)

/** Dates where nobody asks for the time beside them. */
export const newDays = (): Interner<DateReading> => new Interner<DateReading>([], (d) => d.day)

/** A date field: each column proves its own order; a date after `last` is `future_date`. */
export function dateView(
  table: RawTable,
  plan: TablePlan,
  field: Field & DateField,
  last: Day,
  readings = newDates(),
): DateView {
  const byColumn = new Map<number, Encode>()
  const encode: Encode = (text, column) => {
    const key = column?.index ?? -1
    let encodeColumn = byColumn.get(key)
    if (encodeColumn === undefined) {
      const options = dateOptions(table, plan, field, column)
      encodeColumn = (found) => {
        const reading = readDate(found, options)
        if (!('value' in reading)) return problemCode(reading.rule)
        return reading.value.day > last ? problemCode('future_date') : readings.codeOf(reading.value)
      }
      byColumn.set(key, encodeColumn)
    }
    return encodeColumn(text, column)
  }
  return { ...fieldView(table, plan, field, encode), readings }
}

function dateOptions(
  table: RawTable,
  plan: TablePlan,
  field: DateField,
  column: PlannedColumn | null,
): DateOptions {
  const { rules } = plan
  const told =
    typeof rules.dates === 'object' ? (rules.dates[field] ?? anyDate(rules.dates, field)) : rules.dates
  const century =
    typeof rules.century === 'object'
      ? (rules.century[field] ?? anyDate(rules.century, field))
      : rules.century
  const base: DateOptions = {
    serialDayZero: rules.day_numbers === undefined ? table.serialDayZero : DAY_ZERO[rules.day_numbers],
    ...(century === undefined ? {} : { century }),
    ...(rules.date_words === undefined ? {} : { words: dateWords(rules.date_words) }),
  }
  const proven = (): DateOrder | null =>
    column === null
      ? null
      : provenOrder(distinctTexts(table.columns[column.index] as RawColumn, table.length), base)
  return { ...base, order: told === undefined || told === 'unknown' ? (column?.order ?? proven()) : told }
}

/** The day that is number 0 of each count of days (ECMA-376 part 1, 18.17.4.1). */
const DAY_ZERO: Readonly<Record<DayNumbers, Day>> = {
  'from-1900': dayOf(1899, 12, 30) as Day,
  'from-1904': dayOf(1904, 1, 1) as Day,
}

const dateWords = (words: NonNullable<TableRules['date_words']>): ReadonlyMap<string, DateWord> =>
  new Map(
    Object.entries(words).map(([word, meant]) => [
      word.replace(/\.$/, '').normalize('NFC').toLowerCase(),
      meant,
    ]),
  )

/** `date` in the guide is the date of whatever the table holds. */
const anyDate = <T>(by: Readonly<Partial<Record<DateField, T>>>, field: DateField): T | undefined =>
  field === 'assessed_on' || field === 'done_on' || field === 'starts_on' ? by.date : undefined

/** Times: of a time column, or of a workbook's fraction of a day. Code 0 is "no time". */
export function timeView(table: RawTable, plan: TablePlan, times: Interner<string | null>): FieldView {
  return fieldView(table, plan, 'done_at', (text) => {
    const time = readTime(text)
    if ('value' in time) return times.codeOf(time.value)
    const countsDays = table.serialDayZero !== null || plan.rules.day_numbers !== undefined
    if (countsDays && DAY_FRACTION.test(text)) {
      const days = Number(text.trim().replace(',', '.'))
      return times.codeOf(timeOfFraction(days - Math.floor(days)))
    }
    // A time column that holds whole date-times: only the time is asked for, so the order of day and month is all one.
    const date = readDate(text, { order: 'day-month-year', century: 2000 })
    if (!('value' in date) || date.value.time === null) return problemCode('unreadable_date')
    return times.codeOf(date.value.time)
  })
}

const DAY_FRACTION = /^\s*\d+[.,]\d+\s*$/

/** A view of one column of a wide or paired group. */
export const groupColumnView = (
  table: RawTable,
  plan: TablePlan,
  column: PlannedColumn,
  encode: Encode,
): FieldView => columnView(table, column, withGuide(plan.rules, column.field, encode))

export { BLANK }
