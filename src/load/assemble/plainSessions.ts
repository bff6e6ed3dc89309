import { BLANK, type FieldView } from '../fieldView.ts'
import type { RawTable } from '../raw.ts'
import type { ClientList } from './clients.ts'
import { NO_TEXT } from './freeText.ts'
import { type SessionFields, soleGroup } from './sessionFields.ts'
import type { SessionGroup } from './sessionGroups.ts'
import { AT, FIELD_COUNT } from './sessionStore.ts'
import { BOTH, MIDLINE, TARGET_IS_MIDLINE } from './subject.ts'

/** Rows looked at together: their codes stay near the processor. */
export const PLAIN_BLOCK = 4096

/** A field that a session can do without, and its column in the store. */
interface OptionalField {
  readonly at: number
  readonly view: FieldView
}

/**
 * Rows in which nothing is wrong, many at a time and column by column. A row with anything to tell (rejected, emptied, both
 * sides) is marked as odd and left to be read by itself.
 */
export class PlainSessions {
  /** Codes as the store has them, column k from k × {@link PLAIN_BLOCK}. */
  readonly block = new Int32Array(FIELD_COUNT * PLAIN_BLOCK)
  /** 1 for each row of the block that must be read by itself. */
  readonly odd = new Uint8Array(PLAIN_BLOCK)
  readonly largest = new Int32Array(FIELD_COUNT)
  private readonly fields: SessionFields
  /** Of the fields that a session can do without, those that some record has; the others stay 0. */
  private readonly optional: readonly OptionalField[]
  private readonly anyTime: boolean
  private readonly date = new Int32Array(PLAIN_BLOCK)
  private readonly isMidline = Uint8Array.from(TARGET_IS_MIDLINE, Number)
  /** Of each client: day of birth, −∞ where it is not known. */
  private readonly births: Float64Array

  private constructor(fields: SessionFields, group: SessionGroup, clients: ClientList) {
    this.fields = fields
    const optional = [
      { at: AT.stimulus, view: fields.stimulus },
      { at: AT.reps, view: group.views.reps },
      { at: AT.seconds, view: group.views.seconds },
      { at: AT.intensity, view: group.views.intensity },
      { at: AT.doneBy, view: fields.doneBy },
      { at: AT.reaction, view: fields.reaction },
    ]
    this.optional = optional.filter(({ view }) => view.constant !== BLANK)
    this.anyTime = fields.time.constant !== BLANK || fields.timeCodes.some((code) => code !== 0)
    this.births = Float64Array.from(clients.births, (day) => day ?? Number.NEGATIVE_INFINITY)
  }

  /** Null for a table whose records make several rows, or rows by column: those are read one by one. */
  static of(table: RawTable, fields: SessionFields, clients: ClientList): PlainSessions | null {
    const group = soleGroup(fields)
    return group === null || table.recordOf !== undefined ? null : new PlainSessions(fields, group, clients)
  }

  /** Fills {@link block} and {@link odd} with the rows [from, to). */
  fill(from: number, to: number): void {
    const { fields, odd, block } = this
    const { subject } = fields
    odd.fill(0)
    const fill = (view: FieldView, k: number): Int32Array => {
      const codes = block.subarray(k * PLAIN_BLOCK, k * PLAIN_BLOCK + to - from)
      view.fill(codes, from)
      return codes
    }
    const client = fill(subject.client, AT.client)
    const target = fill(subject.target, AT.target)
    this.judge(client, AT.client)
    this.judge(target, AT.target)
    this.judgeSide(fill(subject.side, AT.side), target)
    this.judgeDate(client, from)
    if (this.anyTime) this.judgeTime(fill(fields.time, AT.time))
    for (const { at, view } of this.optional) this.judgeOptional(fill(view, at), at)
    this.fillText(fields.note, AT.note, from, to)
    this.fillText(fields.recordId, AT.recordId, from, to)
  }

  private fillText(codeAt: (row: number) => number, k: number, from: number, to: number): void {
    if (codeAt === NO_TEXT) return
    const codes = this.block.subarray(k * PLAIN_BLOCK, k * PLAIN_BLOCK + to - from)
    for (let i = 0; i < codes.length; i++) codes[i] = codeAt(from + i)
    this.judge(codes, k)
  }

  private judge(codes: Int32Array, k: number): void {
    const { odd } = this
    let largest = this.largest[k] as number
    for (let i = 0; i < codes.length; i++) {
      const code = codes[i] as number
      if (code < 0) odd[i] = 1
      else if (code > largest) largest = code
    }
    this.largest[k] = largest
  }

  /** Blanks become 0, which is null. */
  private judgeOptional(codes: Int32Array, k: number): void {
    for (let i = 0; i < codes.length; i++) if (codes[i] === BLANK) codes[i] = 0
    this.judge(codes, k)
  }

  private judgeSide(side: Int32Array, target: Int32Array): void {
    const { odd, isMidline } = this
    for (let i = 0; i < side.length; i++) {
      if (side[i] === BLANK && isMidline[target[i] as number] === 1) side[i] = MIDLINE
      if (side[i] === BOTH) odd[i] = 1
    }
    this.judge(side, AT.side)
  }

  private judgeDate(client: Int32Array, from: number): void {
    const { odd, date: found, block, fields, births } = this
    const { subject, days, dayCodes } = fields
    const date = found.subarray(0, client.length)
    subject.date.fill(date, from)
    const day = block.subarray(AT.day * PLAIN_BLOCK, AT.day * PLAIN_BLOCK + client.length)
    for (let i = 0; i < client.length; i++) {
      const reading = date[i] as number
      if (
        reading < 0 ||
        (client[i] as number) < 0 ||
        (days[reading] as number) < (births[client[i] as number] as number)
      ) {
        odd[i] = 1
        day[i] = 0
        continue
      }
      day[i] = dayCodes[reading] as number
    }
    this.judge(day, AT.day)
  }

  /** A time of its own, else the one that stands with the date; to be called after {@link judgeDate}. */
  private judgeTime(time: Int32Array): void {
    const { date, odd } = this
    const { timeCodes } = this.fields
    for (let i = 0; i < time.length; i++)
      if (time[i] === BLANK && odd[i] === 0) time[i] = timeCodes[date[i] as number] as number
    this.judge(time, AT.time)
  }
}
