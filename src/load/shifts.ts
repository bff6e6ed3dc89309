/** Numbers that rise with their index but for a few jumps (the line of a record, the record of a row): only the jumps are held. */
export class Shifts {
  /** From index `from[k]` on, number − index is `shift[k]`. */
  readonly from: number[] = []
  readonly shift: number[] = []

  /** Says that index `at` and those after it, until told otherwise, have numbers that lie `shift` above them. */
  note(at: number, shift: number): void {
    if (this.shift.at(-1) === shift) return
    this.from.push(at)
    this.shift.push(shift)
  }

  at(index: number): number {
    const { from } = this
    let low = 0
    let high = from.length - 1
    while (low < high) {
      const middle = (low + high + 1) >> 1
      if ((from[middle] as number) <= index) low = middle
      else high = middle - 1
    }
    return index + (this.shift[low] ?? 0)
  }
}
