import type { Assessment, Client, ProgrammeLine } from '../../records/index.ts'
import type { Candidate } from './assessments.ts'
import type { ClientCandidate } from './clients.ts'
import { type ProblemLog, recordOfRow } from './job.ts'

/** Equal client rows: the first stays. One id with differing rows: none can be chosen, all are rejected. */
export function withoutDuplicateClients(found: readonly ClientCandidate[], log: ProblemLog): Client[] {
  const first = new Map<string, string>()
  const conflicts = new Set<string>()
  for (const { client } of found) {
    const figures = JSON.stringify(client)
    const known = first.get(client.client_id)
    if (known === undefined) first.set(client.client_id, figures)
    else if (known !== figures) conflicts.add(client.client_id)
  }
  const kept = new Map<string, Client>()
  for (const { client, job, row } of found) {
    if (conflicts.has(client.client_id)) log.reject(job, row, '', '', 'conflicting_duplicate')
    else if (kept.has(client.client_id)) log.reject(job, row, '', '', 'duplicate_row')
    else {
      kept.set(client.client_id, client)
      job.kept++
      job.rows++
    }
  }
  return [...kept.values()]
}

/** Equal programme lines: the first stays. */
export const withoutDuplicateProgrammes = (
  found: readonly Candidate<ProgrammeLine>[],
  log: ProblemLog,
): ProgrammeLine[] =>
  keepDistinct(
    found,
    log,
    (line) => JSON.stringify(line),
    (line) => JSON.stringify(line),
  )

/** Same client, date, reflex, side and rater: with the same score the first stays, with differing ones none does. */
export const withoutDuplicateAssessments = (
  found: readonly Candidate<Assessment>[],
  log: ProblemLog,
): Assessment[] =>
  keepDistinct(
    found,
    log,
    ({ client_id, assessed_on, reflex, side, rater_id }) =>
      // The id's length keeps "A" of "BC" apart from "AB" of "C"; no rater at all differs from a rater without a name.
      `${assessed_on} ${reflex} ${side} ${client_id.length} ${client_id}${rater_id === null ? '' : `=${rater_id}`}`,
    (a) => `${a.score}/${a.scale_max}`,
  )

/** Rows of one key: equal ones count once, differing ones all conflict. Records stand or fall whole. Only what stands twice is compared. */
function keepDistinct<T>(
  found: readonly Candidate<T>[],
  log: ProblemLog,
  keyOf: (value: T) => string,
  figuresOf: (value: T) => string,
): T[] {
  const rows = found.filter(({ job, row }) => !job.rejected.has(recordOfRow(job.table, row)))
  const keys = rows.map(({ value }) => keyOf(value))
  const repeated = repeatedOf(keys)
  const conflicts = new Conflicts()
  for (const [i, { value }] of rows.entries())
    if (repeated.has(keys[i]!)) conflicts.see(keys[i]!, figuresOf(value))
  const ids = conflictingIds(rows)
  const kept: T[] = []
  const seen = new Set<string>()
  for (let from = 0, to = 0; from < rows.length; from = to) {
    to = endOfRecord(rows, from)
    const { job, row, recordId } = rows[from]!
    const own = keys.slice(from, to)
    if ((recordId !== null && ids.has(recordId)) || own.some((key) => conflicts.has(key))) {
      log.reject(job, row, '', '', 'conflicting_duplicate')
      continue
    }
    let fresh = 0
    for (let i = from; i < to; i++) {
      if (repeated.has(keys[i]!) && (seen.has(keys[i]!) || own.indexOf(keys[i]!) < i - from)) continue
      kept.push(rows[i]!.value)
      fresh++
    }
    if (fresh === 0) {
      log.reject(job, row, '', '', 'duplicate_row')
      continue
    }
    if (fresh < to - from) log.add(job, row, '', '', 'duplicate_row', 'kept')
    for (const key of own) if (repeated.has(key)) seen.add(key)
    job.kept++
    job.rows += fresh
  }
  return kept
}

/** Records of one id of the source with differing rows. */
function conflictingIds<T>(rows: readonly Candidate<T>[]): Conflicts {
  const ids: string[] = []
  const beginnings: number[] = []
  for (let from = 0; from < rows.length; from = endOfRecord(rows, from)) {
    const { recordId } = rows[from]!
    if (recordId === null) continue
    ids.push(recordId)
    beginnings.push(from)
  }
  const repeated = repeatedOf(ids)
  const conflicts = new Conflicts()
  for (const [nth, id] of ids.entries()) {
    if (!repeated.has(id)) continue
    const from = beginnings[nth]!
    const values = rows.slice(from, endOfRecord(rows, from)).map(({ value }) => value)
    conflicts.see(id, JSON.stringify(values))
  }
  return conflicts
}

/** Where the record that begins at `from` ends: its rows lie together. */
function endOfRecord<T>(rows: readonly Candidate<T>[], from: number): number {
  const { job, row } = rows[from]!
  const record = recordOfRow(job.table, row)
  let to = from + 1
  while (to < rows.length && rows[to]!.job === job && recordOfRow(job.table, rows[to]!.row) === record) to++
  return to
}

/** Texts that stand in a list more than once. */
function repeatedOf(texts: readonly string[]): ReadonlySet<string> {
  const seen = new Set<string>()
  const repeated = new Set<string>()
  for (const text of texts) {
    if (seen.has(text)) repeated.add(text)
    else seen.add(text)
  }
  return repeated
}

class Conflicts {
  private readonly first = new Map<string, string>()
  private readonly differing = new Set<string>()

  see(key: string, figures: string): void {
    const known = this.first.get(key)
    if (known === undefined) this.first.set(key, figures)
    else if (known !== figures) this.differing.add(key)
  }

  has(key: string): boolean {
    return this.differing.has(key)
  }
}
