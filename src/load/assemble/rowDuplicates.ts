import type { Assessment, Client, ProgrammeLine } from '../../records/index.ts'
import type { Candidate } from './assessments.ts'
import type { ClientCandidate } from './clients.ts'
import { type ProblemLog, recordOfRow, type TableJob } from './job.ts'

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

interface RecordRows<T> {
  readonly job: TableJob
  readonly row: number
  readonly recordId: string | null
  readonly values: T[]
}

/** Rows of one key: equal ones count once, differing ones all conflict. Records stand or fall whole. */
function keepDistinct<T>(
  found: readonly Candidate<T>[],
  log: ProblemLog,
  keyOf: (value: T) => string,
  figuresOf: (value: T) => string,
): T[] {
  const records = byRecord(found)
  const ids = new Conflicts()
  const conflicts = new Conflicts()
  const keysOf = records.map(({ recordId, values }) => {
    if (recordId !== null) ids.see(recordId, JSON.stringify(values))
    const keys = values.map(keyOf)
    values.forEach((value, k) => {
      conflicts.see(keys[k] as string, figuresOf(value))
    })
    return keys
  })
  const kept: T[] = []
  const seen = new Set<string>()
  for (const [nth, { job, row, recordId, values }] of records.entries()) {
    const keys = keysOf[nth] as string[]
    if ((recordId !== null && ids.has(recordId)) || keys.some((key) => conflicts.has(key))) {
      log.reject(job, row, '', '', 'conflicting_duplicate')
      continue
    }
    const fresh = values.filter(
      (_, k) => !seen.has(keys[k] as string) && keys.indexOf(keys[k] as string) === k,
    )
    if (values.length > 0 && fresh.length === 0) {
      log.reject(job, row, '', '', 'duplicate_row')
      continue
    }
    if (fresh.length < values.length) log.add(job, row, '', '', 'duplicate_row', 'kept')
    for (const key of keys) seen.add(key)
    kept.push(...fresh)
    job.kept++
    job.rows += fresh.length
  }
  return kept
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

/** Rows of one record together; records that were rejected meanwhile left out. */
function byRecord<T>(found: readonly Candidate<T>[]): RecordRows<T>[] {
  const records: RecordRows<T>[] = []
  for (const { value, job, row, recordId } of found) {
    const record = recordOfRow(job.table, row)
    if (job.rejected.has(record)) continue
    const last = records.at(-1)
    if (last !== undefined && last.job === job && recordOfRow(job.table, last.row) === record)
      last.values.push(value)
    else records.push({ job, row, recordId, values: [value] })
  }
  return records
}
