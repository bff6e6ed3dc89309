/** A published figure beside ours. */
export interface PublishedRow {
  readonly example: string
  readonly figure: string
  readonly published: string
  readonly computed: number | null
  readonly difference: number | null
  readonly verdict: 'same at the printed precision' | 'differs'
}

/**
 * Published figures beside computed ones, by name. A figure is the same where it lies within half a unit of the last digit
 * that was printed, which is all that print can tell; a figure that was not computed differs.
 *
 * @param published as printed, trailing zeros kept: their digits are the precision
 */
export function publishedRows(
  example: string,
  published: Readonly<Record<string, string>>,
  computed: Readonly<Record<string, number | null>>,
): PublishedRow[] {
  return Object.entries(published).map(([figure, printed]) => {
    const value = computed[figure] ?? null
    const difference = value === null ? null : value - Number(printed)
    const half = 0.5 * 10 ** -(printed.split('.')[1] ?? '').length
    // A tie is decided by rounding that two correct programs may do differently in the 15th digit.
    const same = difference !== null && Math.abs(difference) <= half * (1 + 1e-9)
    return {
      example,
      figure,
      published: printed,
      computed: value,
      difference,
      verdict: same ? 'same at the printed precision' : 'differs',
    }
  })
}
