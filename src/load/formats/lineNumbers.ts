/** The physical line of each record, held only from where it is no longer record n on line n. */
export class LineNumbers {
  private lines: Int32Array | null = null
  private count = 0

  push(line: number): void {
    if (this.lines === null && line !== this.count + 1) {
      this.lines = new Int32Array(Math.max(1024, this.count * 2))
      for (let i = 0; i < this.count; i++) this.lines[i] = i + 1
    }
    if (this.lines !== null) {
      if (this.count === this.lines.length) {
        const larger = new Int32Array(this.count * 2)
        larger.set(this.lines)
        this.lines = larger
      }
      this.lines[this.count] = line
    }
    this.count++
  }

  /** The line of record `index`, from 1. */
  readonly at = (index: number): number => this.lines?.[index] ?? index + 1
}
