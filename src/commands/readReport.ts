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
  unknown_client: 'add the client to the clients file, or correct the code (it must match letter for letter)',
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
    ...read.flatMap(fileProblems),
    ...howToFix(read),
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

function fileProblems({ file, problems }: LedgerEntry): string[] {
  return problems.flatMap((problem) => [
    `${file}: ${problem.rule} × ${problem.count}`,
    ...examplesOf(problem),
  ])
}

const examplesOf = ({ examples }: RuleCount): string[] =>
  examples.map(({ record, line, field, value }) => {
    const where = line === null ? `record ${record}` : `line ${line} (record ${record})`
    const what = field === '' ? '' : `, ${field}`
    return `    ${where}${what}${value === '' ? '' : `: "${value.length > 80 ? `${value.slice(0, 80)}...` : value}"`}`
  })

function howToFix(entries: readonly LedgerEntry[]): string[] {
  const rules = [...new Set(entries.flatMap((entry) => entry.problems.map((p) => p.rule)))].sort()
  if (rules.length === 0) return []
  return ['', 'What to do about each kind:', ...rules.map((rule) => `  ${rule}: ${HOW_TO_FIX[rule]}`), '']
}
