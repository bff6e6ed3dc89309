import { BLANK, type FieldView } from '../fieldView.ts'
import { NO_TEXT } from './freeText.ts'
import { AT, FIELD_COUNT } from './sessionStore.ts'
import { MIDLINE, SIDE_READINGS, TARGET_IS_MIDLINE } from './subject.ts'

/** Rows looked at together: their codes stay near the processor. */
export const PLAIN_BLOCK = 4096
const BOTH = SIDE_READINGS.indexOf('both')

/** What is read of a session, as codes row by row. */
export interface SessionViews {
  readonly client: FieldView
  readonly target: FieldView
  readonly side: FieldView
  readonly date: FieldView
  readonly time: FieldView
  /** Stimulus, reps, seconds, intensity, done_by, reaction: a session can do without. */
  readonly optional: readonly { readonly at: number; readonly view: FieldView }[]
  readonly note: (row: number) => number
  readonly recordId: (row: number) => number
  /** Of each date reading: its day, the store's code of the day, and of the time that stands with it (below 0: unreadable). */
  readonly days: ArrayLike<number>
  readonly dayCodes: Int32Array
  readonly timeCodes: Int32Array
  /** Of each client: day of birth, −∞ where it is not known. */
  readonly births: Float64Array
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
  private readonly views: SessionViews
  /** Of the fields that a session can do without, those that some record has; the others stay 0. */
  private readonly optional: SessionViews['optional']
  private readonly anyTime: boolean
  private readonly date = new Int32Array(PLAIN_BLOCK)
  private readonly isMidline = Uint8Array.from(TARGET_IS_MIDLINE, Number)

  constructor(views: SessionViews) {
    this.views = views
    this.optional = views.optional.filter(({ view }) => view.constant !== BLANK)
    this.anyTime = views.time.constant !== BLANK || views.timeCodes.some((code) => code !== 0)
  }

  /** Fills {@link block} and {@link odd} with the rows [from, to). */
  fill(from: number, to: number): void {
    const { views, odd, block } = this
    odd.fill(0)
    const fill = (view: FieldView, k: number): Int32Array => {
      const codes = block.subarray(k * PLAIN_BLOCK, k * PLAIN_BLOCK + to - from)
      view.fill(codes, from)
      return codes
    }
    const client = fill(views.client, AT.client)
    const target = fill(views.target, AT.target)
    this.judge(client, AT.client)
    this.judge(target, AT.target)
    this.judgeSide(fill(views.side, AT.side), target)
    this.judgeDate(client, from)
    if (this.anyTime) this.judgeTime(fill(views.time, AT.time))
    for (const { at, view } of this.optional) this.judgeOptional(fill(view, at), at)
    this.fillText(views.note, AT.note, from, to)
    this.fillText(views.recordId, AT.recordId, from, to)
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
    const { odd, date: found, block, views } = this
    const { days, dayCodes, births } = views
    const date = found.subarray(0, client.length)
    views.date.fill(date, from)
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
    const { timeCodes } = this.views
    for (let i = 0; i < time.length; i++)
      if (time[i] === BLANK && odd[i] === 0) time[i] = timeCodes[date[i] as number] as number
    this.judge(time, AT.time)
  }
}
