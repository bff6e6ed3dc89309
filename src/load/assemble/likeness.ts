/** Which of many rows have one key, and whether their figures differ: three numbers a row, and no text made of it. */
export class Likeness<T extends object> {
  private readonly rows: readonly T[]
  private readonly key: readonly (keyof T)[]
  private readonly figures: readonly (keyof T)[]

  /** @param key the columns that make rows one; @param figures those that must then be the same */
  constructor(rows: readonly T[], key: readonly (keyof T)[], figures: readonly (keyof T)[]) {
    this.rows = rows
    this.key = key
    this.figures = figures
  }

  /** For each row the first that has its key, and a mark at those first rows with whose figures another's differ. */
  compare(): { readonly firstOf: Int32Array; readonly conflicts: Uint8Array } {
    const { length } = this.rows
    const firstOf = new Int32Array(length)
    const conflicts = new Uint8Array(length)
    const hashes = this.hashes()
    const mask = 2 ** Math.ceil(Math.log2(Math.max(64, length * 2))) - 1
    /** Row numbers, each plus 1. */
    const slots = new Int32Array(mask + 1)
    for (let i = 0; i < length; i++) {
      const hash = hashes[i]!
      let slot = hash & mask
      let first = slots[slot]! - 1
      while (first >= 0 && !(hashes[first] === hash && this.equal(first, i, this.key))) {
        slot = (slot + 1) & mask
        first = slots[slot]! - 1
      }
      if (first < 0) {
        slots[slot] = i + 1
        first = i
      } else if (!this.equal(first, i, this.figures)) conflicts[first] = 1
      firstOf[i] = first
    }
    return { firstOf, conflicts }
  }

  /** Whether two rows are the same in key and figures. */
  same(a: number, b: number): boolean {
    return this.equal(a, b, this.key) && this.equal(a, b, this.figures)
  }

  private equal(a: number, b: number, columns: readonly (keyof T)[]): boolean {
    const [one, other] = [this.rows[a]!, this.rows[b]!]
    for (const column of columns) if (one[column] !== other[column]) return false
    return true
  }

  /** A hash of each row's key: values are numbered as they turn up, and the numbers are mixed (as in MurmurHash3, Appleby 2011). */
  private hashes(): Int32Array {
    const hashes = new Int32Array(this.rows.length)
    for (const column of this.key) {
      const numbers = new Map<unknown, number>()
      for (let i = 0; i < hashes.length; i++) {
        const value = this.rows[i]![column]
        let number = numbers.get(value)
        if (number === undefined) {
          number = numbers.size
          numbers.set(value, number)
        }
        const hash = Math.imul(hashes[i]! ^ Math.imul(number + 1, 0xcc9e2d51), 0x1b873593)
        hashes[i] = hash ^ (hash >>> 15)
      }
    }
    return hashes
  }
}
