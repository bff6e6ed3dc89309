import {
  type Column,
  type Day,
  DONE_BY,
  type DoneBy,
  REACTIONS,
  type Reaction,
  type SessionTable,
  SIDES,
  type Side,
  STIMULI,
  type Stimulus,
  TABLE_COLUMNS,
  TARGETS,
} from '../../records/index.ts'
import { ByteDictionary } from '../byteDictionary.ts'
import { type Codes, GrowingCodes } from '../growingCodes.ts'
import { Interner } from '../interner.ts'
import { Shifts } from '../shifts.ts'
import type { ClientList } from './clients.ts'
import type { TableJob } from './job.ts'

const BLOCK = 4096

/** The columns of a session row in the store: those of the contract in their order, then the source's own record id. */
export const FIELD_COUNT = TABLE_COLUMNS.sessions.length + 1
/** Columns that make a line the same line: all but the record id. */
export const FIGURES = FIELD_COUNT - 1
export const AT = {
  client: 0,
  day: 1,
  time: 2,
  target: 3,
  side: 4,
  stimulus: 5,
  reps: 6,
  seconds: 7,
  intensity: 8,
  doneBy: 9,
  reaction: 10,
  note: 11,
  recordId: 12,
} as const

/** Rows of one table lie together: rows from `from` up to the next table's. */
export interface StoredTable {
  readonly job: TableJob
  readonly from: number
}

/** What a store holds once all is read. */
export interface StoredRows {
  readonly length: number
  readonly columns: readonly Codes[]
  /** 1 at rows of the same record as the row before; null where each record has one row. */
  readonly continued: Codes | null
  /** The table's row that each row was read from. */
  readonly rows: Shifts
}

/** Session rows of all tables as codes, column by column, in the order they were read. */
export class SessionStore {
  readonly days = new Interner<Day>()
  readonly times = new Interner<string | null>([null])
  readonly stimuli = new Interner<Stimulus | null>([null, ...STIMULI])
  readonly numbers = new Interner<number | null>([null])
  readonly doneBy = new Interner<DoneBy | null>([null, ...DONE_BY])
  readonly reactions = new Interner<Reaction | null>([null, ...REACTIONS])
  readonly notes = new ByteDictionary()
  readonly recordIds = new ByteDictionary()
  readonly tables: StoredTable[] = []
  length = 0

  private readonly columns = Array.from({ length: FIELD_COUNT }, () => new GrowingCodes())
  /** The table's row that each row was read from, and a mark at rows of the same record as the row before. */
  private readonly rows = new Shifts()
  private readonly continued = new GrowingCodes()
  private readonly block = new Int32Array(BLOCK * FIELD_COUNT)
  private readonly continuedBlock = new Int32Array(BLOCK)
  private readonly noneContinued = new Int32Array(BLOCK)
  private readonly largest = new Int32Array(FIELD_COUNT)
  private inBlock = 0

  /** Makes room for so many rows. */
  expect(rows: number): void {
    for (const column of [...this.columns, this.continued]) column.expected = rows
  }

  begin(job: TableJob): void {
    this.tables.push({ job, from: this.length })
  }

  /** Adds the row whose codes are `codes[at, at + FIELD_COUNT)`, read from `row` of the table at hand. */
  add(codes: Int32Array, at: number, row: number, continued: boolean): void {
    const { block, largest, inBlock } = this
    for (let k = 0, to = inBlock; k < FIELD_COUNT; k++, to += BLOCK) {
      const code = codes[at + k] as number
      block[to] = code
      if (code > (largest[k] as number)) largest[k] = code
    }
    this.continuedBlock[inBlock] = continued ? 1 : 0
    this.rows.note(this.length, row - this.length)
    this.inBlock++
    this.length++
    if (this.inBlock === BLOCK) this.flush()
  }

  /** Adds rows [from, to) of a block of columns, each `stride` long, read from the table's rows `row` and following. */
  addColumns(
    codes: Int32Array,
    stride: number,
    from: number,
    to: number,
    row: number,
    largestOf: Int32Array,
  ): void {
    if (to === from) return
    this.flush()
    for (let k = 0; k < FIELD_COUNT; k++) {
      const largest = Math.max(this.largest[k] as number, largestOf[k] as number)
      this.largest[k] = largest
      this.columns[k]!.append(codes.subarray(k * stride + from, k * stride + to), to - from, largest)
    }
    for (let done = 0; done < to - from; done += BLOCK)
      this.continued.append(this.noneContinued, Math.min(BLOCK, to - from - done), 0)
    this.rows.note(this.length, row - this.length)
    this.length += to - from
  }

  private flush(): void {
    if (this.inBlock === 0) return
    this.columns.forEach((column, k) => {
      column.append(
        this.block.subarray(k * BLOCK, k * BLOCK + this.inBlock),
        this.inBlock,
        this.largest[k] as number,
      )
    })
    const marks = this.continuedBlock.subarray(0, this.inBlock)
    this.continued.append(marks, this.inBlock, marks.includes(1) ? 1 : 0)
    this.inBlock = 0
  }

  /** All rows. */
  finish(): StoredRows {
    this.flush()
    const continued = this.continued.isBlank ? null : this.continued.finish()
    return { length: this.length, columns: this.columns.map((c) => c.finish()), continued, rows: this.rows }
  }

  /** The session table of the rows that are not dropped. */
  table(columns: readonly Codes[], dropped: Uint8Array | null, clients: ClientList): SessionTable {
    const kept = dropped === null ? columns : columns.map((codes) => without(codes, dropped))
    const column = <T>(k: number, values: readonly T[]): Column<T> => ({ codes: kept[k] as Codes, values })
    const { notes } = this
    const noteCodes = kept[AT.note] as Codes
    return {
      length: noteCodes.length,
      client_id: column<string>(AT.client, clients.ids.values),
      done_on: column<Day>(AT.day, this.days.values),
      done_at: column(AT.time, this.times.values),
      target: column(AT.target, TARGETS),
      side: column<Side>(AT.side, SIDES),
      stimulus: column(AT.stimulus, this.stimuli.values),
      reps: column(AT.reps, this.numbers.values),
      seconds: column(AT.seconds, this.numbers.values),
      intensity: column(AT.intensity, this.numbers.values),
      done_by: column(AT.doneBy, this.doneBy.values),
      reaction: column(AT.reaction, this.reactions.values),
      note: (i) => {
        const code = noteCodes[i] as number
        return code === 0 ? null : notes.textOf(code)
      },
    }
  }
}

function without(codes: Codes, dropped: Uint8Array): Codes {
  const kept = codes.slice()
  let length = 0
  for (let row = 0; row < codes.length; row++) if (dropped[row] === 0) kept[length++] = codes[row] as number
  return kept.subarray(0, length)
}
