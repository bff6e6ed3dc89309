/** A set of record numbers: a bit each, since in a bad export there may be a million. */
export class RecordSet {
  size = 0
  private bits = new Uint8Array(64)

  has(record: number): boolean {
    return ((this.bits[record >> 3] ?? 0) & (1 << (record & 7))) !== 0
  }

  add(record: number): void {
    if (this.has(record)) return
    const at = record >> 3
    if (at >= this.bits.length) {
      const grown = new Uint8Array(Math.max(at + 1, this.bits.length * 2))
      grown.set(this.bits)
      this.bits = grown
    }
    this.bits[at] = (this.bits[at] as number) | (1 << (record & 7))
    this.size++
  }
}
