import { AT, FIELD_COUNT } from './sessionStore.ts'

/** The rows of the record at hand, as codes row after row: they go into the store together or not at all. */
export class PendingRows {
  length = 0
  codes = new Int32Array(FIELD_COUNT * 16)

  clear(): void {
    this.length = 0
  }

  /** Begins a row; returns where in {@link codes} it stands. */
  begin(): number {
    const at = this.length * FIELD_COUNT
    if (at + FIELD_COUNT > this.codes.length) {
      const grown = new Int32Array(this.codes.length * 2)
      grown.set(this.codes)
      this.codes = grown
    }
    this.length++
    return at
  }

  /** Repeats the last row with another side. */
  repeat(side: number): void {
    const at = this.begin()
    this.codes.copyWithin(at, at - FIELD_COUNT, at)
    this.codes[at + AT.side] = side
  }

  /** Dates the rows from `first` on. */
  date(first: number, day: number, time: number): void {
    for (let at = first * FIELD_COUNT; at < this.length * FIELD_COUNT; at += FIELD_COUNT) {
      this.codes[at + AT.day] = day
      this.codes[at + AT.time] = time
    }
  }
}
