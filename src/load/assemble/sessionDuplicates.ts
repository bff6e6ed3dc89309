import type { Codes } from '../growingCodes.ts'
import type { ProblemLog } from './job.ts'
import { AT, FIGURES, type SessionStore, type StoredRows } from './sessionStore.ts'

/** Session rows by record: rows of one record lie together. */
interface Lines extends StoredRows {
  readonly store: SessionStore
}

/**
 * Drops what stands twice. Lines with a record id of the source: same id and figures, the first stays; same id, other
 * figures: all are rejected, since no rule can choose. Lines without: within one file equal lines all stay unless they
 * have the same time; across files each distinct line counts as often as in the file that has it most often.
 *
 * @returns a mark for each row that is dropped, or null where none is
 */
export function dropDuplicateSessions(
  lines: Lines,
  log: ProblemLog,
  onConflict: (table: number, row: number) => void,
): Uint8Array | null {
  const { columns, rows, store } = lines
  const dropped = new Uint8Array(lines.length)
  let any = false
  const drop = (
    from: number,
    to: number,
    table: number,
    rule: 'duplicate_row' | 'conflicting_duplicate',
  ): void => {
    any = true
    dropped.fill(1, from, to)
    const { job } = store.tables[table]!
    const row = rows.at(from)
    job.kept--
    job.rows -= to - from
    log.reject(job, row, '', '', rule)
    if (rule === 'conflicting_duplicate') onConflict(table, row)
  }
  const records = new Records(lines)
  if (store.recordIds.size > 1) dropById(records, columns[AT.recordId] as Codes, store.recordIds.size, drop)
  dropByFigures(records, columns, drop)
  return any ? dropped : null
}

type Drop = (from: number, to: number, table: number, rule: 'duplicate_row' | 'conflicting_duplicate') => void

/** Walks the rows record by record. */
class Records {
  readonly lines: Lines
  readonly files: readonly string[]

  constructor(lines: Lines) {
    this.lines = lines
    this.files = lines.store.tables.map((t) => t.job.table.file)
  }

  forEach(visit: (from: number, to: number, table: number) => void): void {
    const { store, length } = this.lines
    for (let table = 0; table < store.tables.length; table++) {
      const end = store.tables[table + 1]?.from ?? length
      for (let from = store.tables[table]!.from; from < end; ) {
        const to = this.endOf(from, end)
        visit(from, to, table)
        from = to
      }
    }
  }

  private endOf(from: number, end: number): number {
    const { continued } = this.lines
    let to = from + 1
    if (continued !== null) while (to < end && continued[to] === 1) to++
    return to
  }

  /** Where the record that begins at a row ends. */
  end(from: number): number {
    const { store, length } = this.lines
    let end = length
    for (const table of store.tables) if (table.from > from) end = Math.min(end, table.from)
    return this.endOf(from, end)
  }

  /** Whether two records have the same figures row by row. */
  equal(a: number, aEnd: number, b: number): boolean {
    const { columns, length } = this.lines
    const size = aEnd - a
    if (b + size > length || this.end(b) - b !== size) return false
    for (let k = 0; k < FIGURES; k++) {
      const codes = columns[k] as Codes
      for (let i = 0; i < size; i++) if (codes[a + i] !== codes[b + i]) return false
    }
    return true
  }
}

function dropById(records: Records, ids: Codes, size: number, drop: Drop): void {
  const first = new Int32Array(size).fill(-1)
  const conflict = new Uint8Array(size)
  const equalToFirst = (from: number, to: number, id: number): boolean => {
    const known = first[id] as number
    return known === from || records.equal(from, to, known)
  }
  records.forEach((from, to) => {
    const id = ids[from] as number
    if (id === 0) return
    if (first[id] === -1) first[id] = from
    else if (!equalToFirst(from, to, id)) conflict[id] = 1
  })
  records.forEach((from, to, table) => {
    const id = ids[from] as number
    if (id === 0) return
    if (conflict[id] === 1) drop(from, to, table, 'conflicting_duplicate')
    else if (first[id] !== from) drop(from, to, table, 'duplicate_row')
  })
}

function dropByFigures(records: Records, columns: readonly Codes[], drop: Drop): void {
  const manyFiles = new Set(records.files).size > 1
  const ids = columns[AT.recordId] as Codes
  const times = columns[AT.time] as Codes
  const noTimes = records.lines.store.times.values.length === 1 || times.every((time) => time === 0)
  if (!manyFiles && noTimes) return
  const seen = new SeenLines(records, columns)
  const fileNumbers = new Map<string, number>()
  const fileOf = records.files.map((file) => {
    const number = fileNumbers.get(file) ?? fileNumbers.size
    fileNumbers.set(file, number)
    return number
  })
  records.forEach((from, to, table) => {
    if (ids[from] !== 0 || (times[from] === 0 && !manyFiles)) return
    const entry = seen.entryOf(from, to)
    if (!seen.stays(entry, fileOf[table] as number, times[from] !== 0)) drop(from, to, table, 'duplicate_row')
  })
}

/** Distinct lines with how often each has been kept, and how often it stands in the file at hand. */
class SeenLines {
  private readonly records: Records
  private readonly columns: readonly Codes[]
  private readonly slots: Int32Array
  private readonly first: Int32Array
  private readonly hashes: Int32Array
  private readonly kept: Int32Array
  private readonly file: Int32Array
  private readonly inFile: Int32Array
  private size = 0

  constructor(records: Records, columns: readonly Codes[]) {
    this.records = records
    this.columns = columns
    const room = records.lines.length
    this.slots = new Int32Array(2 ** Math.ceil(Math.log2(Math.max(1024, room * 2))))
    this.first = new Int32Array(room)
    this.hashes = new Int32Array(room)
    this.kept = new Int32Array(room)
    this.file = new Int32Array(room)
    this.inFile = new Int32Array(room)
  }

  entryOf(from: number, to: number): number {
    const hash = this.hash(from, to)
    const mask = this.slots.length - 1
    let slot = hash & mask
    for (let entry = this.slots[slot] as number; entry !== 0; entry = this.slots[slot] as number) {
      if (this.hashes[entry - 1] === hash && this.records.equal(from, to, this.first[entry - 1] as number))
        return entry - 1
      slot = (slot + 1) & mask
    }
    return this.add(from, hash, slot)
  }

  /** Whether one more of a line is kept: in one file all are, unless they have a time; across files the largest count is. */
  stays(entry: number, file: number, timed: boolean): boolean {
    if (this.file[entry] !== file) {
      this.file[entry] = file
      this.inFile[entry] = 0
    }
    const nth = (this.inFile[entry] as number) + 1
    this.inFile[entry] = nth
    if ((timed && nth > 1) || nth <= (this.kept[entry] as number)) return false
    this.kept[entry] = (this.kept[entry] as number) + 1
    return true
  }

  private hash(from: number, to: number): number {
    let hash = 0x811c9dc5 | 0
    for (let row = from; row < to; row++)
      for (let k = 0; k < FIGURES; k++)
        hash = Math.imul(hash ^ ((this.columns[k] as Codes)[row] as number), 0x01000193) ^ (hash >>> 13)
    hash ^= hash >>> 16
    return Math.imul(hash, 0x45d9f3b) ^ (hash >>> 15)
  }

  private add(from: number, hash: number, slot: number): number {
    const entry = this.size++
    this.first[entry] = from
    this.hashes[entry] = hash
    this.file[entry] = -1
    this.slots[slot] = entry + 1
    return entry
  }
}
