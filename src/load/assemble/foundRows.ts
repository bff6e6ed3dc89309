import { endOfRange, GrowingInts } from '../growingInts.ts'
import { recordOfRow, type TableJob } from './job.ts'

/** A row that may stand, with the source's own number of its record; null where it has none. */
export interface FoundRow<T> {
  readonly value: T
  readonly recordId: string | null
}

/**
 * Rows that may stand, in the order of files and records. Each is held as it will be kept; what else must be known of it
 * (its place, its record's id) takes a few bytes, since there may be millions.
 */
export class FoundRows<T> {
  readonly values: T[] = []
  /** Record ids that were seen; number 0 is none. */
  readonly recordIds: (string | null)[] = [null]
  private readonly idNumbers = new Map<string, number>()
  private readonly rows = new GrowingInts()
  private readonly ids = new GrowingInts()
  private readonly jobs: { readonly job: TableJob; readonly from: number }[] = []

  get length(): number {
    return this.values.length
  }

  begin(job: TableJob): void {
    this.jobs.push({ job, from: this.length })
  }

  add({ value, recordId }: FoundRow<T>, row: number): void {
    this.rows.set(this.length, row)
    this.ids.set(this.length, recordId === null ? 0 : this.idNumber(recordId))
    this.values.push(value)
  }

  private idNumber(recordId: string): number {
    let number = this.idNumbers.get(recordId)
    if (number === undefined) {
      number = this.recordIds.push(recordId) - 1
      this.idNumbers.set(recordId, number)
    }
    return number
  }

  /** Takes back all rows from number `length` on. */
  cut(length: number): void {
    this.values.length = length
  }

  rowOf(i: number): number {
    return this.rows.at(i)
  }

  /** Number of the record's id, 0 where it has none. */
  idOf(i: number): number {
    return this.ids.at(i)
  }

  /** Each record that has rows: they lie together. */
  forEachRecord(visit: (from: number, to: number, job: TableJob) => void): void {
    for (const [k, { job, from: first }] of this.jobs.entries()) {
      const end = this.jobs[k + 1]?.from ?? this.length
      const recordOf = (i: number): number => recordOfRow(job.table, this.rowOf(i))
      for (let from = first; from < end; ) {
        const to = endOfRange(from, end, recordOf)
        visit(from, to, job)
        from = to
      }
    }
  }
}
