import type { Example, LedgerEntry, Loaded, RuleCount } from '../load/index.ts'
import { formatDay, type Rule } from '../records/index.ts'
import { printable } from './printable.ts'
import { WIDTH, wrapped } from './wrapped.ts'

/** What a person can do about each kind of problem. */
export const HOW_TO_FIX: Readonly<Record<Rule, string>> = {
  ambiguous_date: 'say the order in the guide: dates: day-month-year (or month-day-year)',
  conflicting_duplicate:
    'the same record stands there with different figures: correct the source, or leave the older export out (holds: nothing)',
  date_before_birth: 'check the date and the birth date in the source',
  duplicate_row: 'nothing to do where exports overlap; each line was counted once',
  future_date: 'check the year, or give a later --as-of',
  impossible_date: 'there is no such day: correct it in the source',
  missing_value:
    'fill the cell in the source; a totals row shows up here too and can stay; where all or many records lack it, a heading was not understood (see the notes)',
  ragged_row:
    'the number of fields differs from the headings, or a quote or bracket is not closed: export again or mend the line',
  score_out_of_range: 'correct the score, or say the top of the scale in the guide: scale: 5',
  unknown_client:
    'add the client to the clients file, or correct the code (it must match letter for letter); where the client has two rows that differ, see conflicting_duplicate first',
  unknown_value: 'say what each word means in the guide, as words: { side: { mid: midline } }',
  unreadable_date: 'correct it in the source; for two-digit years say century: 2000 in the guide',
  unreadable_number:
    'correct it in the source; for decimal commas say decimal: comma in the guide, for marks such as ++ words: { score: ... }',
}

/**
 * The account of a read, as text of 80 columns: per file what was read, kept, rejected and made, and every kind of problem.
 *
 * @param folder the folder that was read, as it was typed, and {@link out}, where the tables were written; {@link guide}, where one was named
 */
export function readReport(loaded: Loaded, folder: string, out: string, guide?: string): string {
  const { ledger, notRead, warnings, records } = loaded
  const read = ledger.filter((entry) => entry.kinds.length > 0)
  const counts = [
    howMany(records.clients.length, 'client'),
    howMany(records.assessments.length, 'assessment'),
    howMany(records.programmes.length, 'programme line'),
    howMany(records.sessions.length, 'session'),
    howMany(records.problems.length, 'problem'),
  ].join(', ')
  const lines = [
    ...fileTable(read),
    '',
    ...kindsOfProblems(read),
    ...read.flatMap(({ file, remarks }) => remarks.map((remark) => `note: ${file}: ${remark}`)),
    ...notRead.map(({ file, reason }) => `NOT READ: ${file}: ${reason}`),
    ...warnings.map((warning) => `ATTENTION: ${warning}`),
    '',
    ...guideHint(loaded, folder),
    `Written to ${out}: ${counts}.`,
    ...(read.some(({ rows }) => rows > 0) ? nextStep(loaded, folder, guide) : []),
  ]
  return `${lines
    .map(printable)
    .flatMap((line) => (line.startsWith(COMMAND) ? [line] : wrapped(line, hangOf(line))))
    .join('\n')}\n`
}

const howMany = (n: number, what: string): string => `${n} ${what}${n === 1 ? '' : 's'}`

/** Later lines of one entry stand two further in than its first. */
const hangOf = (line: string): string => `${/^ */.exec(line)?.[0] ?? ''}  `

/** A command is left in one line, to be copied. */
const COMMAND = '  waneline '

/** A path as a shell takes it. */
const typed = (path: string): string => (/^[\w./-]+$/.test(path) ? path : JSON.stringify(path))

/** The command that makes a page of what was read. */
const nextStep = ({ asOf }: Loaded, folder: string, guide: string | undefined): string[] => [
  '',
  'To make a page of it:',
  `${COMMAND}run notebooks/caseload-review.ts --data ${typed(folder)} --as-of ${formatDay(asOf)}${guide === undefined ? '' : ` --guide ${typed(guide)}`} --out reports`,
]

/** Where headings or words were not understood: the command that drafts what to say about them. */
function guideHint({ ledger, notRead }: Loaded, folder: string): string[] {
  const unclear =
    notRead.some(({ reason }) => reason.includes('reading guide')) ||
    ledger.some(
      ({ remarks, problems }) =>
        remarks.some((remark) => remark.includes('reading guide')) ||
        problems.some(({ rule }) => rule === 'unknown_value' || rule === 'ambiguous_date'),
    )
  if (!unclear) return []
  return [
    'To draft what a reading guide has left to say (datasets/reading-guide.md):',
    `${COMMAND}read ${typed(folder)} --suggest-guide`,
    '',
  ]
}

const CELLS_FROM = 34

function fileTable(entries: readonly LedgerEntry[]): string[] {
  const head = ['file', 'holds', 'records', 'kept', 'rejected', 'rows made']
  const rows = entries.map((e) => [
    e.file,
    e.kinds.join(', '),
    ...[e.records, e.kept, e.rejected, e.rows].map(String),
  ])
  const widthOf = (k: number): number =>
    Math.max((head[k] as string).length, ...rows.map((row) => (row[k] as string).length))
  const widths = head.map((_, k) => widthOf(k))
  const others = widths.slice(1).reduce((sum, width) => sum + width + 2, 0)
  const fileWidth = Math.min(widths[0] as number, Math.max(CELLS_FROM, WIDTH - others))
  return [head, ...rows].flatMap(([file = '', ...cells]) => {
    const row = cells
      .map((cell, k) => (k === 0 ? cell.padEnd(widths[1] as number) : cell.padStart(widths[k + 1] as number)))
      .join('  ')
    // A long path has a line of its own, so that the figures stay below each other.
    return file.length > fileWidth
      ? [file, `${' '.repeat(fileWidth)}  ${row}`]
      : [`${file.padEnd(fileWidth)}  ${row}`]
  })
}

const EXAMPLES = 3
const WORDS_SHOWN = 8
const FILES_NAMED = 5
const LONGEST_VALUE = 60

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
  const examples = distinctExamples(found)
  const shown = examples.slice(0, rule === 'unknown_value' ? WORDS_SHOWN : EXAMPLES)
  const told = shown.reduce((sum, { times }) => sum + times, 0)
  return [
    `  ${rule} × ${total} ${where}`,
    ...shown.map(exampleText),
    ...(told < total ? [`    and ${total - told} more: see problems.csv`] : []),
    `    What to do: ${HOW_TO_FIX[rule]}`,
  ]
}

interface Shown extends Example {
  readonly file: string
}

/** One for each field and text, with the times it was found in all files; the most frequent first. */
function distinctExamples(found: readonly Found[]): Shown[] {
  const byText = new Map<string, Shown>()
  for (const { file, problem } of found)
    for (const example of problem.examples) {
      const { field, value, record, times } = example
      const key = JSON.stringify(field === '' && value === '' ? [file, record] : [field, value])
      const known = byText.get(key)
      byText.set(key, known ? { ...known, times: known.times + times } : { ...example, file })
    }
  return [...byText.values()].sort((a, b) => b.times - a.times)
}

function exampleText({ file, record, line, field, value, times }: Shown): string {
  const where = `${file}, ${line === null ? `record ${record}` : `line ${line} (record ${record})`}`
  const short = value.length > LONGEST_VALUE ? `${value.slice(0, LONGEST_VALUE)}...` : value
  const what = `${field === '' ? '' : `, ${field}`}${value === '' ? '' : `: "${short}"`}`
  return `    ${where}${what}${times > 1 ? `; ${times} in all` : ''}`
}
