/** Whole numbers by place; a place that was never set holds 0. */
export class GrowingInts {
  private ints = new Int32Array(64)

  set(at: number, value: number): void {
    if (at >= this.ints.length) {
      const grown = new Int32Array(Math.max(at + 1, Math.ceil(this.ints.length * 1.6)))
      grown.set(this.ints)
      this.ints = grown
    }
    this.ints[at] = value
  }

  at(place: number): number {
    return this.ints[place] ?? 0
  }

  /** The first `length` numbers, where they lie. */
  first(length: number): Int32Array {
    if (length > this.ints.length) this.set(length - 1, 0)
    return this.ints.subarray(0, length)
  }
}

/** The first place after `from` whose number differs from that at `from`, or `end`. */
export function endOfRange(from: number, end: number, numberAt: (place: number) => number): number {
  const own = numberAt(from)
  let to = from + 1
  while (to < end && numberAt(to) === own) to++
  return to
}
