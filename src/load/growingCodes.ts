export type Codes = Uint8Array | Uint16Array | Int32Array

const empty = (width: number, length: number): Codes =>
  width === 1 ? new Uint8Array(length) : width === 2 ? new Uint16Array(length) : new Int32Array(length)

/** Codes appended block by block, as narrow as the largest so far allows. */
export class GrowingCodes {
  private codes: Codes = new Uint8Array(1024)
  private width = 1
  /** Codes written; from here up to the length they are zeros. */
  private written = 0
  length = 0
  /** How many codes are likely to come: with room for them at once, nothing is copied to make more. Room not used is not taken. */
  expected = 0

  /** Appends the first `count` codes of a block, none of which is above `largest`. */
  append(block: Int32Array, count: number, largest: number): void {
    const needed = this.length + count
    if (largest > 0) {
      this.makeRoom(needed, largest)
      this.codes.set(count === block.length ? block : block.subarray(0, count), this.length)
      this.written = needed
    }
    // Nothing but zeros so far: room that is never written to takes no memory.
    this.length = needed
  }

  /** Appends codes of another numbering, of which code k is `numbers[k]` here; none is above `largest` in either. */
  appendRenumbered(codes: Codes, numbers: Int32Array, largest: number): void {
    const needed = this.length + codes.length
    if (largest > 0 && (numbers.length > 1 || this.written > 0)) {
      this.makeRoom(needed, largest)
      const own = this.codes.subarray(this.length, needed)
      own.set(codes)
      if (numbers.some((number, code) => number !== code))
        for (let i = 0; i < own.length; i++) own[i] = numbers[own[i] as number] as number
      this.written = needed
    }
    this.length = needed
  }

  /** Room for `needed` codes as wide as the largest. */
  private makeRoom(needed: number, largest: number): void {
    const width = largest < 256 ? 1 : largest < 65536 ? 2 : 4
    if (width > this.width || needed > this.codes.length) {
      const grown = empty(
        Math.max(width, this.width),
        needed > this.codes.length
          ? Math.max(needed, this.expected, Math.ceil(this.codes.length * 1.6))
          : this.codes.length,
      )
      grown.set(this.codes.subarray(0, this.written))
      this.codes = grown
      this.width = Math.max(width, this.width)
    }
  }

  /** Whether nothing but zeros was appended. */
  get isBlank(): boolean {
    return this.written === 0
  }

  /** The codes; the room beyond them is given back where it is worth it. */
  finish(): Codes {
    if (this.written === 0) return new Uint8Array(this.length)
    if (this.codes.length <= Math.max(this.length, this.expected) * 1.1)
      return this.codes.subarray(0, this.length)
    return this.codes.slice(0, this.length)
  }
}
