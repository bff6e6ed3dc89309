import { type Assessment, type Client, type ProgrammeLine, TABLE_COLUMNS } from '../../records/index.ts'
import type { ClientCandidate } from './clients.ts'
import type { FoundRows } from './foundRows.ts'
import type { ProblemLog, TableJob } from './job.ts'
import { Likeness } from './likeness.ts'

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
  found: FoundRows<ProgrammeLine>,
  log: ProblemLog,
): ProgrammeLine[] => keepDistinct(found, log, new Likeness(found.values, TABLE_COLUMNS.programmes, []))

/** Same client, date, reflex, side and rater: with the same score the first stays, with differing ones none does. */
export const withoutDuplicateAssessments = (found: FoundRows<Assessment>, log: ProblemLog): Assessment[] =>
  keepDistinct(
    found,
    log,
    new Likeness(
      found.values,
      ['client_id', 'assessed_on', 'reflex', 'side', 'rater_id'],
      ['score', 'scale_max'],
    ),
  )

/**
 * Rows of one key: equal ones count once, differing ones all conflict. Records stand or fall whole. The rows that stay are
 * moved to the front of the array they were found in, so that there is never a second one.
 */
function keepDistinct<T extends object>(found: FoundRows<T>, log: ProblemLog, likeness: Likeness<T>): T[] {
  const { values } = found
  const { firstOf, conflicts } = likeness.compare()
  const idConflicts = conflictingIds(found, likeness)
  const seen = new Uint8Array(values.length)
  let kept = 0
  const keep = (from: number, to: number, job: TableJob): void => {
    let fresh = 0
    for (let i = from; i < to; i++) {
      const first = firstOf[i]!
      if (seen[first] === 1) continue
      seen[first] = 1
      values[kept++] = values[i]!
      fresh++
    }
    if (fresh === 0) {
      log.reject(job, found.rowOf(from), '', '', 'duplicate_row')
      return
    }
    if (fresh < to - from) log.add(job, found.rowOf(from), '', '', 'duplicate_row', 'kept')
    job.kept++
    job.rows += fresh
  }
  found.forEachRecord((from, to, job) => {
    let conflicting = idConflicts[found.idOf(from)] === 1
    for (let i = from; i < to; i++) if (conflicts[firstOf[i]!] === 1) conflicting = true
    if (conflicting) log.reject(job, found.rowOf(from), '', '', 'conflicting_duplicate')
    else keep(from, to, job)
  })
  values.length = kept
  return values
}

/** Marks, by number, the ids of the source under which records with differing rows stand. */
function conflictingIds<T extends object>(found: FoundRows<T>, likeness: Likeness<T>): Uint8Array {
  const marks = new Uint8Array(found.recordIds.length)
  if (marks.length === 1) return marks
  const first = new Int32Array(marks.length).fill(-1)
  const length = new Int32Array(marks.length)
  found.forEachRecord((from, to) => {
    const id = found.idOf(from)
    if (id === 0) return
    const known = first[id]!
    if (known < 0) {
      first[id] = from
      length[id] = to - from
      return
    }
    let same = length[id] === to - from
    for (let i = 0; same && i < to - from; i++) same = likeness.same(known + i, from + i)
    if (!same) marks[id] = 1
  })
  return marks
}
