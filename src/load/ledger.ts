import { type Rule, valueAt } from '../records/index.ts'
import { type ProblemLog, recordsOf, type TableJob } from './assemble/job.ts'
import type { Kind } from './guide/guide.ts'
import type { RawTable } from './raw.ts'

/** One problem shown as an example of its rule. */
export interface Example {
  readonly record: number
  /** Physical line, where the file has lines. */
  readonly line: number | null
  readonly field: string
  readonly value: string
  /** How many problems of this file have the same rule, field and value. */
  readonly times: number
}

export interface RuleCount {
  readonly rule: Rule
  readonly count: number
  /** The first three; the first eight of words nobody knows. Each field and value stands once. */
  readonly examples: readonly Example[]
}

/** The account of one file or sheet: records = kept + rejected, always. */
export interface LedgerEntry {
  readonly file: string
  /** What it holds; several where one file holds several; null where nothing was read from it. */
  readonly kinds: readonly Kind[]
  readonly records: number
  readonly kept: number
  readonly rejected: number
  /** Rows made of the records kept. */
  readonly rows: number
  /** Why nothing was read, title rows passed over, columns not used. */
  readonly remarks: readonly string[]
  readonly problems: readonly RuleCount[]
}

const EXAMPLES = 3
/** A person has to say what each word means, so more of them are shown. */
const WORDS_SHOWN = 8

/**
 * The accounts of all files, by path.
 * @throws Error where the accounts do not add up, which is a fault of this program and not of a file
 */
export function ledgerOf(
  tables: readonly RawTable[],
  jobs: readonly TableJob[],
  log: ProblemLog,
  remarks: ReadonlyMap<string, readonly string[]>,
): LedgerEntry[] {
  const byFile = new Map<string, TableJob[]>()
  for (const { file } of tables) byFile.set(file, [])
  for (const job of jobs) byFile.get(job.table.file)?.push(job)
  const counts = countProblems(log)
  return [...byFile].map(([file, own]) => {
    const sum = (of: (job: TableJob) => number): number => own.reduce((total, job) => total + of(job), 0)
    const entry: LedgerEntry = {
      file,
      kinds: [...new Set(own.map((job) => job.plan.kind))],
      records: sum((job) => recordsOf(job.table)),
      kept: sum((job) => job.kept),
      rejected: sum((job) => job.rejected.size),
      rows: sum((job) => job.rows),
      remarks: [
        ...tables.filter((t) => t.file === file).flatMap((t) => t.remarks),
        ...(remarks.get(file) ?? []),
      ],
      problems: [...(counts.get(file)?.values() ?? [])],
    }
    requireConservation(entry)
    return entry
  })
}

function requireConservation({ file, records, kept, rejected }: LedgerEntry): void {
  if (records === kept + rejected) return
  throw new Error(
    `${file}: ${records} records read, but ${kept} kept and ${rejected} rejected. This is a fault of waneline; nothing was written.`,
  )
}

interface Counting {
  readonly rule: Rule
  count: number
  readonly examples: (Example & { times: number })[]
  readonly byText: Map<string, { times: number }>
}

const newCounting = (rule: Rule): Counting => ({ rule, count: 0, examples: [], byText: new Map() })

function countProblems(log: ProblemLog): Map<string, Map<Rule, RuleCount>> {
  const problems = log.table()
  const counts = new Map<string, Map<Rule, Counting>>()
  for (let i = 0; i < problems.length; i++) {
    const file = valueAt(problems.file, i)
    const rule = valueAt(problems.rule, i)
    const rules = counts.get(file) ?? new Map<Rule, Counting>()
    counts.set(file, rules)
    const entry: Counting = rules.get(rule) ?? newCounting(rule)
    rules.set(rule, entry)
    entry.count++
    const [field, value] = [valueAt(problems.field, i), valueAt(problems.value, i)]
    const text = field === '' && value === '' ? null : `${field} ${value}`
    const same = text === null ? undefined : entry.byText.get(text)
    if (same !== undefined) {
      same.times++
      continue
    }
    if (entry.examples.length >= (rule === 'unknown_value' ? WORDS_SHOWN : EXAMPLES)) continue
    const example = {
      record: problems.record[i] as number,
      line: log.lineAt(i),
      field,
      value,
      times: 1,
    }
    entry.examples.push(example)
    if (text !== null) entry.byText.set(text, example)
  }
  return new Map(
    [...counts].map(([file, rules]) => [
      file,
      new Map([...rules].map(([rule, { byText: _, ...kept }]) => [rule, kept])),
    ]),
  )
}
