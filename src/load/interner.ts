/** Values numbered in order of first appearance, so that columns of many tables share their codes. */
export class Interner<T> {
  readonly values: T[] = []
  private readonly codes = new Map<unknown, number>()
  private readonly keyOf: (value: T) => unknown

  /** @param first values that get the first codes; @param keyOf what tells values apart (default: the value) */
  constructor(first: readonly T[] = [], keyOf: (value: T) => unknown = (value) => value) {
    this.keyOf = keyOf
    for (const value of first) this.codeOf(value)
  }

  codeOf(value: T): number {
    const key = this.keyOf(value)
    let code = this.codes.get(key)
    if (code === undefined) {
      code = this.values.length
      this.values.push(value)
      this.codes.set(key, code)
    }
    return code
  }

  /** The code of a value that was seen before. */
  known(value: T): number | undefined {
    return this.codes.get(this.keyOf(value))
  }
}
