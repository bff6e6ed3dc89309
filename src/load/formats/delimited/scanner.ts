const LF = 10
const CR = 13
const QUOTE = 34
const SPACE = 32
const TAB = 9
/** The first byte of the mark. */
const BYTE_ORDER_MARK = 0xef
/** Bytes beyond a record that may be needed to be certain of its end. */
const LOOK_AHEAD = 4

/** What {@link RecordScanner.next} met. */
export const MORE = 0
const RECORD = 1
export const BLANK = 2
export const RAGGED = 3
export type Met = typeof MORE | typeof RECORD | typeof BLANK | typeof RAGGED

/**
 * Cuts bytes into records and fields, one record a call. A record is given out only when its end is certain, so the
 * answer is the same wherever the input is cut. A record whose quoting is broken, or which is longer than the
 * limit, costs its first physical line and no more: scanning goes on at the next line.
 */
export class RecordScanner {
  /** Field k of the record at hand is `bytes[starts[k], ends[k])`; `doubled[k]` says that it holds doubled quotes. */
  readonly starts: Int32Array
  readonly ends: Int32Array
  readonly doubled: Uint8Array
  /** Whether no field of the record at hand stood in quotes; then {@link doubled} says nothing. */
  plain = false
  /** Of a plain record: so many fields at its beginning are those of the record before, byte for byte. */
  shared = 0
  /** Where a plain record with a field for all the room begins and ends that came right before, in the same bytes; −1 where none did. */
  private before = -1
  private beforeEnd = -1
  /** Fields of the record at hand; beyond the room for them they are only counted. */
  count = 0
  /** The physical line (from 1) the record at hand begins on, and the record's bytes without its line end. */
  line = 1
  recordStart = 0
  recordEnd = 0
  /** Where the next record begins. */
  position = 0

  private readonly delimiter: number
  private readonly room: number
  private readonly limit: number
  /** The physical line that comes next. */
  nextLine = 1
  /** Inside a line that is too long: passing over the rest of it. */
  skipping = false

  constructor(delimiter: number, room: number, limit: number) {
    this.delimiter = delimiter
    this.room = room
    this.limit = limit
    this.starts = new Int32Array(room)
    this.ends = new Int32Array(room)
    this.doubled = new Uint8Array(room)
  }

  /**
   * The next record of `bytes[position, end)`. `bytes[end]` must exist and be a line feed, which is not part of the
   * input. `final` says that nothing follows. MORE is given at the end: with `final` it means that all is read.
   */
  next(bytes: Uint8Array, end: number, final: boolean): Met {
    if (this.skipping && !this.skipLine(bytes, end, final)) return MORE
    this.line = this.nextLine
    this.recordStart = this.position
    if (this.position >= end) return MORE
    this.plain = this.scanPlain(bytes, end)
    if (this.plain) return RECORD
    this.forget()
    const start = startOfText(bytes, this.position)
    const met = this.scan(bytes, start, end, final)
    if (met === MORE) {
      if (end - this.recordStart > this.limit + LOOK_AHEAD) return this.breakOff(bytes, end, final)
      return MORE
    }
    if (met === RAGGED || this.recordEnd - this.recordStart > this.limit)
      return this.breakOff(bytes, end, final)
    return met
  }

  /** The next record is not to be told by the one before it: that one was no record, or the bytes have moved. */
  forget(): void {
    this.before = -1
    this.shared = 0
  }

  /**
   * A record as most are: no quotes, no more fields than there is room for, its end in sight. False, with nothing settled, for any other.
   * Logs repeat themselves: what a record shares with the one before it is compared and not cut again.
   */
  private scanPlain(bytes: Uint8Array, end: number): boolean {
    const { delimiter, room, starts, ends, position: from } = this
    const top = Math.max(delimiter, CR)
    const first = bytes[from] as number
    if (first <= SPACE || first === QUOTE || first === delimiter || first === BYTE_ORDER_MARK) return false
    let count = 0
    let i = from
    if (this.before >= 0) {
      const shift = from - this.before
      const stop = Math.min(end, this.beforeEnd + shift)
      while (i < stop && bytes[i] === bytes[i - shift]) i++
      while (count < room - 1 && (ends[count] as number) + shift < i) {
        starts[count] = (starts[count] as number) + shift
        ends[count] = (ends[count] as number) + shift
        count++
      }
    }
    const shared = count
    let start = count === 0 ? from : (ends[count - 1] as number) + 1
    if (bytes[start] === QUOTE) return false
    for (;;) {
      const byte = bytes[i] as number
      if (byte <= top) {
        if (byte === delimiter) {
          if (count === room || bytes[i + 1] === QUOTE) return false
          starts[count] = start
          ends[count] = i
          count++
          start = i + 1
        } else if (byte === LF || byte === CR) break
      }
      i++
    }
    if (i >= end || count === room || i - from > this.limit) return false
    if (bytes[i] === CR && (i + 1 >= end || bytes[i + 1] !== LF)) return false
    starts[count] = start
    ends[count] = i
    this.count = count + 1
    this.shared = shared
    this.before = this.count === room ? from : -1
    this.beforeEnd = i
    this.recordEnd = i
    this.position = afterLineEnd(bytes, i, end)
    this.nextLine = this.line + 1
    return true
  }

  private scan(bytes: Uint8Array, from: number, end: number, final: boolean): Met {
    const { delimiter, room, starts, ends, doubled } = this
    // Most bytes of most files lie above every mark: one comparison settles them.
    const top = Math.max(delimiter, CR)
    let i = from
    let count = 0
    let filled = false
    let breaks = 0
    for (;;) {
      let start = i
      let stop = i
      let byte = bytes[i] as number
      let pairs = 0
      if (byte === QUOTE && i < end) {
        start = ++i
        for (;;) {
          byte = bytes[i] as number
          if (byte === QUOTE) {
            if (bytes[i + 1] !== QUOTE || i + 1 >= end) break
            pairs = 1
            i++
          } else if (byte === LF || byte === CR) {
            if (i >= end) return final ? RAGGED : MORE
            if (byte === LF || bytes[i + 1] !== LF) breaks++
          }
          i++
        }
        if (i + 1 >= end && !final) return MORE
        stop = i++
        byte = bytes[i] as number
        while ((byte === SPACE || (byte === TAB && delimiter !== TAB)) && i < end) byte = bytes[++i] as number
        if (byte !== delimiter && byte !== LF && byte !== CR) return RAGGED
        if (stop > start) filled = true
      } else {
        while (byte > top || (byte !== delimiter && byte !== LF && byte !== CR)) byte = bytes[++i] as number
        stop = i
        if (!filled && stop > start) filled = hasInk(bytes, start, stop)
      }
      if (i >= end && !final) return MORE
      if (count < room) {
        starts[count] = start
        ends[count] = stop
        doubled[count] = pairs
      }
      count++
      if (byte === delimiter && i < end) {
        i++
        continue
      }
      if (byte === CR && i + 1 >= end && !final) return MORE
      this.count = count
      this.recordEnd = i
      this.position = afterLineEnd(bytes, i, end)
      this.nextLine = this.line + breaks + 1
      return filled ? RECORD : BLANK
    }
  }

  /** Gives up on the record at hand: its first physical line is ragged, the next line is a fresh start. */
  private breakOff(bytes: Uint8Array, end: number, final: boolean): Met {
    let i = this.recordStart
    const last = Math.min(end, this.recordStart + this.limit)
    while (i < last && bytes[i] !== LF && bytes[i] !== CR) i++
    if ((i >= end || (bytes[i] === CR && i + 1 >= end)) && !final) return MORE
    this.count = 0
    this.recordEnd = i
    this.nextLine = this.line + 1
    this.skipping = i < end && bytes[i] !== LF && bytes[i] !== CR
    this.position = this.skipping ? i : afterLineEnd(bytes, i, end)
    return RAGGED
  }

  /** Passes over the rest of a line; false when its end is not in sight. */
  private skipLine(bytes: Uint8Array, end: number, final: boolean): boolean {
    let i = this.position
    while (i < end && bytes[i] !== LF && bytes[i] !== CR) i++
    if (i >= end || (bytes[i] === CR && i + 1 >= end && !final)) {
      this.position = final ? end : i
      return false
    }
    this.position = afterLineEnd(bytes, i, end)
    this.skipping = false
    return true
  }
}

/** A byte-order mark may stand at the start of any line and means nothing. */
const startOfText = (bytes: Uint8Array, at: number): number =>
  bytes[at] === BYTE_ORDER_MARK && bytes[at + 1] === 0xbb && bytes[at + 2] === 0xbf ? at + 3 : at

const afterLineEnd = (bytes: Uint8Array, at: number, end: number): number =>
  Math.min(end, bytes[at] === CR && at + 1 < end && bytes[at + 1] === LF ? at + 2 : at + 1)

function hasInk(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (bytes[i] !== SPACE && bytes[i] !== TAB) return true
  return false
}

/** Writes `bytes[from, to)` with every doubled quote made one to `target`; returns its length. */
export function undoubled(bytes: Uint8Array, from: number, to: number, target: Uint8Array): number {
  let length = 0
  for (let i = from; i < to; i++) {
    target[length++] = bytes[i] as number
    if (bytes[i] === QUOTE) i++
  }
  return length
}
