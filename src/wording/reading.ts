import type { Rule } from '../records/index.ts'
import { grouped } from './grouped.ts'

/** As much of a file's account as a page shows (the loader's ledger has it). */
export interface FileAccount {
  readonly file: string
  readonly kinds: readonly string[]
  readonly records: number
  readonly kept: number
  readonly rejected: number
  readonly rows: number
  readonly problems: readonly {
    readonly rule: Rule
    readonly count: number
    readonly examples: readonly {
      readonly record: number
      readonly line: number | null
      readonly field: string
      readonly value: string
    }[]
  }[]
}

/** What each rule means to the person who can mend the file. */
export const RULE_WORDS: Readonly<Record<Rule, string>> = {
  ambiguous_date:
    'A date that could be two days. The reading guide can say whether day or month comes first.',
  conflicting_duplicate:
    'The same record with different figures. Somebody who was there has to say which is right.',
  date_before_birth: 'A date before the birth date. One of the two is wrong.',
  duplicate_row: 'The same record again; the first was kept.',
  future_date: 'A date after the as-of day.',
  impossible_date: 'A date that is in no calendar.',
  missing_value: 'A blank where the record needs a value.',
  ragged_row: 'More or fewer fields than headings, or JSON that is not whole.',
  score_out_of_range: 'A score outside its scale.',
  unknown_client: 'A client who is not in the clients table. Codes match letter for letter.',
  unknown_value: 'A word that is not known. The reading guide can say what it means.',
  unreadable_date: 'A text that is no date.',
  unreadable_number: 'A text that is no number.',
}

/** One row a file. */
export const fileRows = (ledger: readonly FileAccount[]) =>
  ledger.map(({ file, kinds, records, kept, rejected, rows }) => ({
    file,
    holds: kinds.join(', ') || 'nothing read',
    records,
    kept,
    rejected,
    rows,
  }))

/** One row a rule, with the first example, most frequent first. */
export function problemRows(ledger: readonly FileAccount[]) {
  const byRule = new Map<Rule, { count: number; example: string }>()
  for (const { file, problems } of ledger)
    for (const { rule, count, examples } of problems) {
      const [first] = examples
      const where = first
        ? `${file}, ${first.line === null ? `record ${first.record}` : `line ${first.line}`}${first.value ? `: ${first.value}` : ''}`
        : file
      const known = byRule.get(rule)
      if (known) known.count += count
      else byRule.set(rule, { count, example: where })
    }
  return [...byRule]
    .sort((a, b) => b[1].count - a[1].count || (a[0] < b[0] ? -1 : 1))
    .map(([rule, { count, example }]) => ({ rule, count, means: RULE_WORDS[rule], example }))
}

/** The sentence over the account: nothing is lost. What was rejected is told from a field that was left blank in a record that was kept. */
export function readingSentence(ledger: readonly FileAccount[]): string {
  const sum = (of: (f: FileAccount) => number): number => ledger.reduce((total, f) => total + of(f), 0)
  const records = sum((f) => f.records)
  const rejected = sum((f) => f.rejected)
  const found = sum((f) => f.problems.reduce((total, { count }) => total + count, 0))
  const blank = found - rejected
  const account = `${grouped(records)} ${records === 1 ? 'record' : 'records'} read = ${grouped(sum((f) => f.kept))} kept + ${grouped(rejected)} rejected.`
  const left =
    blank > 0
      ? ` Of ${grouped(found)} problems, ${grouped(rejected)} cost a record and ${grouped(blank)} a field, which was left blank.`
      : ''
  return `${account}${left} \`waneline read\` writes each of them, with file and line, to problems.csv.`
}
