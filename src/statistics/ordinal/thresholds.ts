/** How thresholds hang together: freely, mirrored about their middle, or at one distance. */
export type ThresholdForm = 'flexible' | 'symmetric' | 'equidistant'

/** Thresholds = matrix (rows of `count`) times parameters. */
export interface ThresholdMap {
  readonly matrix: readonly (readonly number[])[]
  readonly names: readonly string[]
  /** Parameters that give roughly these thresholds. */
  readonly from: (thresholds: readonly number[]) => number[]
}

/** Source: Christensen (2018) Cumulative Link Models for Ordinal Regression with the R Package ordinal, section 2.3 (from memory). */
export function thresholdMap(form: ThresholdForm, count: number): ThresholdMap {
  if (form === 'equidistant' && count > 1)
    return {
      matrix: Array.from({ length: count }, (_, j) => [1, j]),
      names: ['threshold.1', 'spacing'],
      from: (t) => [t[0]!, (t[count - 1]! - t[0]!) / (count - 1)],
    }
  if (form === 'symmetric' && count > 2) return symmetric(count)
  return {
    matrix: Array.from({ length: count }, (_, j) => Array.from({ length: count }, (_, k) => Number(j === k))),
    names: Array.from({ length: count }, (_, j) => `threshold.${j + 1}`),
    from: (t) => [...t],
  }
}

function symmetric(count: number): ThresholdMap {
  const odd = count % 2 === 1
  const central = odd ? 1 : 2
  const spacings = (count - central) / 2
  const matrix = Array.from({ length: count }, (_, j) => {
    const row = new Array<number>(central + spacings).fill(0)
    const low = j < count / 2
    row[odd || low ? 0 : 1] = 1
    const away = Math.floor(Math.abs(j - (count - 1) / 2))
    if (away > 0) row[central + away - 1] = j < (count - 1) / 2 ? -1 : 1
    return row
  })
  return {
    matrix,
    names: [
      ...(odd ? ['central'] : ['central.1', 'central.2']),
      ...Array.from({ length: spacings }, (_, k) => `spacing.${k + 1}`),
    ],
    from: (t) => {
      const middle = odd ? [t[(count - 1) / 2]!] : [t[count / 2 - 1]!, t[count / 2]!]
      const first = Math.floor((count - 1) / 2)
      const gaps = Array.from({ length: spacings }, (_, k) => {
        const low = t[first - k - 1]!
        const high = t[count - 1 - (first - k - 1)]!
        return (high - low - (odd ? 0 : middle[1]! - middle[0]!)) / 2
      })
      return [...middle, ...gaps]
    },
  }
}
