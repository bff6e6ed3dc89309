import { RULES, type Rule } from '../records/index.ts'
import { ByteColumn } from './formats/delimited/tableOfRecords.ts'
import type { Field, NamedField, TableRules } from './guide/guide.ts'
import { plainWord } from './interpret/index.ts'
import type { PlannedColumn, TablePlan } from './plan.ts'
import type { RawColumn, RawTable } from './raw.ts'
import { distinctTexts, isBlankAt, textAt } from './rawColumn.ts'

/** No value: a blank cell, or a mark that the guide names. */
export const BLANK = -1
/** Codes below {@link BLANK} are rules that were broken. */
export const problemCode = (rule: Rule): number => -2 - RULES.indexOf(rule)
export const ruleOf = (code: number): Rule => RULES[-2 - code] as Rule

/** One field of a table, record by record, as codes of what was read: 0 and up, {@link BLANK}, or a broken rule. */
export interface FieldView {
  at(row: number): number
  /** The codes of as many rows as there is room for, from row `from` on. */
  fill(codes: Int32Array, from: number): void
  /** The text that was found. */
  text(row: number): string
  /** The code of every row, where all have the same. */
  readonly constant?: number
}

/** From a text that is not blank to a code. */
export type Encode = (text: string, column: PlannedColumn | null) => number

const KIN: Readonly<Partial<Record<Field, Field>>> = {
  target: 'reflex',
  reflex: 'target',
  reps: 'reps_per_session',
  reps_per_session: 'reps',
  seconds: 'seconds_per_session',
  seconds_per_session: 'seconds',
}

/** The names by which a guide may speak of a field, its own last. */
function namesOf(field: Field): readonly NamedField[] {
  const kin = KIN[field]
  return [...(BROADER[field] ?? []), ...(kin === undefined ? [] : [kin]), field]
}

const BROADER: Readonly<Partial<Record<Field, readonly NamedField[]>>> = {
  assessed_on: ['date'],
  done_on: ['date'],
  starts_on: ['date'],
  seconds: ['hours', 'minutes'],
  seconds_per_session: ['hours', 'minutes'],
}

/** What the guide says about one field, or about its twin in another kind of table. */
export function forField<T>(
  by: Readonly<Partial<Record<NamedField, T>>> | undefined,
  field: Field,
): T | undefined {
  const name = namesOf(field).findLast((known) => by?.[known] !== undefined)
  return name === undefined ? undefined : by?.[name]
}

/** The guide's words for values of a field, theirs (as they are looked up) → ours. */
export function guideWords(rules: TableRules, field: Field): ReadonlyMap<string, string> {
  const words = Object.assign({}, ...namesOf(field).map((name) => rules.words?.[name]))
  return new Map(Object.entries(words).map(([theirs, ours]) => [plainWord(theirs), String(ours)]))
}

/** The marks that mean "no value" in a field. */
export function noValueMarks(rules: TableRules, field: Field): ReadonlySet<string> {
  const marks = rules.no_value
  const list = Array.isArray(marks)
    ? marks
    : forField(marks as Record<NamedField, readonly string[]> | undefined, field)
  return new Set((list ?? []).map(plainWord))
}

/** A field with the guide's words and marks put before its interpreter. */
export function withGuide(rules: TableRules, field: Field, encode: Encode): Encode {
  const words = guideWords(rules, field)
  const marks = noValueMarks(rules, field)
  return (text, column) => {
    if (text.trim() === '') return BLANK
    const word = words.size > 0 || marks.size > 0 ? plainWord(text) : ''
    if (marks.has(word)) return BLANK
    const ours = words.get(word)
    if (ours === '') return BLANK
    return encode(ours ?? text, column)
  }
}

/** A view that is told row by row. */
const viewOf = (at: (row: number) => number, text: (row: number) => string): FieldView => ({
  at,
  text,
  fill: (codes, from) => {
    for (let i = 0; i < codes.length; i++) codes[i] = at(from + i)
  },
})

const always = (code: number, text: string): FieldView => ({
  at: () => code,
  text: () => text,
  constant: code,
  fill: (codes) => {
    codes.fill(code)
  },
})

const ALWAYS_BLANK = always(BLANK, '')

/** The view of one field: its columns (of several the first that is filled), else its constant, else always blank. */
export function fieldView(table: RawTable, plan: TablePlan, field: Field, encode: Encode): FieldView {
  const whole = withGuide(plan.rules, field, encode)
  const columns = plan.columns.get(field) ?? []
  const fill = plan.rules.fill_down?.some((name) => namesOf(field).includes(name)) ?? false
  const views = columns.map((column) => columnView(table, column, whole, fill))
  const constant = plan.constants.get(field)
  if (constant !== undefined) {
    const code = whole(constant, null)
    views.push(always(code, constant))
  }
  return firstFilled(views)
}

function firstFilled(views: readonly FieldView[]): FieldView {
  const [first, ...rest] = views
  if (first === undefined) return ALWAYS_BLANK
  if (rest.length === 0) return first
  const filled = (row: number): FieldView => views.find((view) => view.at(row) !== BLANK) ?? first
  return viewOf(
    (row) => filled(row).at(row),
    (row) => filled(row).text(row),
  )
}

/** The view of one column; each distinct text is interpreted once. */
export function columnView(
  table: RawTable,
  planned: PlannedColumn,
  encode: Encode,
  fillDown = false,
): FieldView {
  const column = table.columns[planned.index] as RawColumn
  const view = dictionaryView(column, planned, encode)
  if (!fillDown) return view
  const source = filledRows(table, column)
  return viewOf(
    (row) => view.at(source[row] as number),
    (row) => view.text(source[row] as number),
  )
}

const TEXTS_REMEMBERED = 65_536

function dictionaryView(column: RawColumn, planned: PlannedColumn, encode: Encode): FieldView {
  const text = (row: number): string => textAt(column, row)
  if (!('codes' in column)) {
    const seen = new Map<string, number>()
    const at = (row: number): number => {
      const found = column.text(row)
      let code = seen.get(found)
      if (code === undefined) {
        code = encode(found, planned)
        // Such a column may have a text of its own in every row: what is remembered must not grow with the file.
        if (seen.size >= TEXTS_REMEMBERED) seen.clear()
        seen.set(found, code)
      }
      return code
    }
    return viewOf(at, text)
  }
  const { codes } = column
  const size = column instanceof ByteColumn ? column.dictionary.size : column.values.length
  const map = new Int32Array(size)
  let k = 0
  for (const found of distinctTexts(column, 0)) map[k++] = encode(found, planned)
  return {
    at: (row) => map[codes[row] as number] as number,
    text,
    fill: (found, from) => {
      found.set(codes.subarray(from, from + found.length))
      for (let i = 0; i < found.length; i++) found[i] = map[found[i] as number] as number
    },
  }
}

/** For each row the row whose cell counts: its own, or the last filled one above. Broken records fill nothing. */
function filledRows(table: RawTable, column: RawColumn): Int32Array {
  const source = new Int32Array(table.length)
  let last = -1
  for (let row = 0; row < table.length; row++) {
    if (!isBlankAt(column, row)) last = row
    source[row] = last < 0 ? row : last
  }
  return source
}
