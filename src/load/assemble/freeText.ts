import type { ByteDictionary } from '../byteDictionary.ts'
import { fieldView, noValueMarks } from '../fieldView.ts'
import type { RawColumn } from '../raw.ts'
import { textCodes } from '../textMerge.ts'
import type { TableJob } from './job.ts'

/** No text in any row. */
export const NO_TEXT = (): number => 0

/** Free text of a field as numbers of a shared dictionary, letter for letter; 0 where there is none. */
export function freeText(
  { table, plan }: TableJob,
  field: 'note' | 'record_id',
  shared: ByteDictionary,
): (row: number) => number {
  const readers = (plan.columns.get(field) ?? []).map((column) =>
    textCodes(table.columns[column.index] as RawColumn, shared),
  )
  const constant = plan.constants.get(field)
  if (constant !== undefined) {
    const code = shared.codeOfText(constant)
    readers.push(() => code)
  }
  const marks = noValueMarks(plan.rules, field)
  const fill = plan.rules.fill_down?.includes(field) ?? false
  if (marks.size > 0 || fill) {
    const view = fieldView(table, plan, field, (text) => shared.codeOfText(text))
    return (row) => Math.max(0, view.at(row))
  }
  const [first, ...rest] = readers
  if (first === undefined) return NO_TEXT
  if (rest.length === 0) return first
  return (row) => {
    for (const reader of readers) {
      const code = reader(row)
      if (code !== 0) return code
    }
    return 0
  }
}
