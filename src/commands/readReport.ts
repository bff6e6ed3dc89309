import type { LedgerEntry, Loaded, RuleCount } from '../load/index.ts'
import type { Rule } from '../records/index.ts'
import { printable } from './printable.ts'

/** What a person can do about each kind of problem. */
export const HOW_TO_FIX: Readonly<Record<Rule, string>> = {
  ambiguous_date: 'say the order in the guide: dates: day-month-year (or month-day-year)',
  conflicting_duplicate:
    'the same record stands there with different figures: correct the source, or leave the older export out (holds: nothing)',
  date_before_birth: 'check the date and the birth date in the source',
  duplicate_row: 'nothing to do where exports overlap; each line was counted once',
  future_date: 'check the year, or give a later --as-of',
  impossible_date: 'there is no such day: correct it in the source',
  missing_value: 'fill the cell in the source; a totals row shows up here too and can stay',
  ragged_row:
    'the number of fields differs from the headings, or a quote or bracket is not closed: export again or mend the line',
  score_out_of_range: 'correct the score, or say the top of the scale in the guide: scale: 5',
  unknown_client:
    'add the client to the clients file, or correct the code (it must match letter for letter); where the client has two rows that differ, see conflicting_duplicate first',
  unknown_value: 'say what the word means in the guide: words: { side: { front: ... } }',
  unreadable_date: 'correct it in the source; for two-digit years say century: 2000 in the guide',
  unreadable_number:
    'correct it in the source; for decimal commas say decimal: comma in the guide, for marks such as ++ words: { score: ... }',
}

/** The account of a read, as text: per file what was read, kept, rejected and made, and every kind of problem. */
export function readReport(loaded: Loaded, out: string): string {
  const { ledger, notRead, warnings, records } = loaded
  const read = ledger.filter((entry) => entry.kinds.length > 0)
  const lines = [
    ...fileTable(read),
    '',
    ...kindsOfProblems(read),
    ...read.flatMap(({ file, remarks }) => remarks.map((remark) => `note: ${file}: ${remark}`)),
    ...notRead.map(({ file, reason }) => `NOT READ: ${file}: ${reason}`),
    ...warnings.map((warning) => `ATTENTION: ${warning}`),
    '',
    `Written to ${out}: ${records.clients.length} clients, ${records.assessments.length} assessments, ${records.programmes.length} programme lines, ${records.sessions.length} sessions, ${records.problems.length} problems.`,
  ]
  return `${lines.map(printable).join('\n')}\n`
}

function fileTable(entries: readonly LedgerEntry[]): string[] {
  const head = ['file', 'holds', 'records', 'kept', 'rejected', 'rows made']
  const rows = entries.map((e) => [
    e.file,
    e.kinds.join(', '),
    ...[e.records, e.kept, e.rejected, e.rows].map(String),
  ])
  const widths = head.map((title, k) =>
    Math.max(title.length, ...rows.map((row) => (row[k] as string).length)),
  )
  return [head, ...rows].map((row) =>
    row
      .map((cell, k) => (k < 2 ? cell.padEnd(widths[k] as number) : cell.padStart(widths[k] as number)))
      .join('  '),
  )
}

const EXAMPLES = 3
const FILES_NAMED = 5

interface Found {
  readonly file: string
  readonly problem: RuleCount
}

/** Every kind of problem over all files: how often and where, the first three, and what a person can do. */
function kindsOfProblems(entries: readonly LedgerEntry[]): string[] {
  const byRule = new Map<Rule, Found[]>()
  for (const { file, problems } of entries)
    for (const problem of problems)
      byRule.set(problem.rule, [...(byRule.get(problem.rule) ?? []), { file, problem }])
  if (byRule.size === 0) return []
  const kinds = [...byRule].sort(([a], [b]) => (a < b ? -1 : 1))
  return [
    'What could not be taken as it stood, by kind:',
    ...kinds.flatMap(([rule, found]) => oneKind(rule, found)),
    '',
  ]
}

function oneKind(rule: Rule, found: readonly Found[]): string[] {
  const total = found.reduce((sum, { problem }) => sum + problem.count, 0)
  const named = found.slice(0, FILES_NAMED).map(({ file, problem }) => `${file} ${problem.count}`)
  const more = found.length > FILES_NAMED ? `, and ${found.length - FILES_NAMED} more` : ''
  const where =
    found.length === 1 ? `in ${found[0]?.file}` : `in ${found.length} files (${named.join(', ')}${more})`
  return [
    `  ${rule} × ${total} ${where}`,
    ...found.flatMap(({ file, problem }) => examplesOf(file, problem)).slice(0, EXAMPLES),
    `    What to do: ${HOW_TO_FIX[rule]}`,
  ]
}

const examplesOf = (file: string, { examples }: RuleCount): string[] =>
  examples.map(({ record, line, field, value }) => {
    const where = line === null ? `record ${record}` : `line ${line} (record ${record})`
    const what = field === '' ? '' : `, ${field}`
    return `    ${file}, ${where}${what}${value === '' ? '' : `: "${value.length > 80 ? `${value.slice(0, 80)}...` : value}"`}`
  })
