import { fieldIn, KIND_FIELDS } from '../kindFields.ts'
import type { TablePlan } from '../plan.ts'
import { DECIDE, quoted, shortly } from './draftText.ts'
import { COLUMN_FIELDS, type ColumnField, type ColumnRule } from './guide.ts'
import { areNumbers, type ColumnDraft, MOST_WORDS } from './suggestColumn.ts'

/** A heading that stands more than once, and what each of its columns is; all but the first are left out until a person decides. */
export type RepeatedHeading = readonly [heading: string, rules: readonly ColumnRule[]]

export function repeatedHeadings(columns: readonly ColumnDraft[]): RepeatedHeading[] {
  const known = columns.filter(({ known }) => known !== null && COLUMN_FIELDS.includes(known as ColumnField))
  return [...new Set(known.map(({ heading }) => heading))].flatMap((heading) => {
    const same = known.filter((column) => column.heading === heading)
    return same.length < 2
      ? []
      : [[heading, same.map(({ known }, i) => (i === 0 ? (known as ColumnField) : 'ignore'))] as const]
  })
}

function repeatedLines(repeated: readonly RepeatedHeading[], columns: readonly ColumnDraft[]): string[] {
  return repeated.map(([heading, rules]) => {
    const held = columns.filter((column) => column.heading === heading).map(examples)
    return `      ${quoted(heading)}: [${rules.join(', ')}] # ${DECIDE}: it stands ${rules.length} times; ${held.map((text, i) => `${i + 1}: ${text}`).join('; ')}`
  })
}

/** What a draft says under `columns:`: of headings that are not understood, that stand twice, or that share a field. */
export function columnLines(
  columns: readonly ColumnDraft[],
  plan: TablePlan | null,
  repeated: readonly RepeatedHeading[],
): string[] {
  const asked = columns.filter(({ known }) => known === null)
  const seen = new Set<string>()
  const lines = asked.flatMap((column) => {
    const { heading, proposed } = column
    if (heading.trim() === '' || seen.has(heading)) return []
    seen.add(heading)
    const why = proposed === null ? `what is it?${looks(column)}` : 'by its values;'
    return [
      `      ${quoted(heading)}: ${proposed ?? 'ignore'} # ${DECIDE}: ${why} ${examples(column)}`.trimEnd(),
    ]
  })
  lines.unshift(...besideLines(columns, plan, repeated), ...repeatedLines(repeated, columns))
  if (lines.length === 0) return []
  const open = asked.some(({ proposed }) => proposed === null) && plan !== null
  return [...(open ? openFieldLines(plan, columns) : []), '    columns:', ...lines]
}

/**
 * Where a guide names a column for a field, only those it names count for it: so the headings that are understood as a field
 * which is proposed for another column stand beside it, and first.
 */
function besideLines(
  columns: readonly ColumnDraft[],
  plan: TablePlan | null,
  repeated: readonly RepeatedHeading[],
): string[] {
  const fieldOf = (meaning: string): string => (plan === null ? null : fieldIn(plan.kind, meaning)) ?? meaning
  const proposed = new Set(columns.flatMap(({ proposed }) => (proposed === null ? [] : fieldOf(proposed))))
  const twice = new Set(repeated.map(([heading]) => heading))
  const beside = columns.filter(
    ({ heading, known }) => known !== null && !twice.has(heading) && proposed.has(fieldOf(known)),
  )
  const lines = beside.map(({ heading, known }) => `      ${quoted(heading)}: ${fieldOf(known as string)}`)
  return [...new Set(lines)]
}

const looks = ({ words, dates }: ColumnDraft): string =>
  dates ? ' dates;' : areNumbers(words) ? ' numbers;' : ''

/** The fields that one of the headings asked about may hold. */
function openFieldLines({ kind, columns, constants }: TablePlan, drafts: readonly ColumnDraft[]): string[] {
  const told = new Set(drafts.flatMap(({ known, proposed }) => fieldIn(kind, known ?? proposed ?? '') ?? []))
  const open = [...KIND_FIELDS[kind]].filter(
    (field) =>
      field !== 'record_id' &&
      !told.has(field) &&
      !constants.has(field) &&
      (columns.get(field)?.length ?? 0) === 0,
  )
  return open.length === 0
    ? []
    : [`    # Fields of ${kind} that no heading is known to hold: ${open.join(', ')}`]
}

/** The first few of the texts that a column holds. */
function examples({ words }: ColumnDraft): string {
  if (words.length === 0) return `more than ${MOST_WORDS} different texts`
  return `holds ${words.slice(0, 6).map(shortly).join(', ')}${words.length > 6 ? ', ...' : ''}`
}
