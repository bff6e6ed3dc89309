import normal from '@stdlib/stats-base-dists-normal'
import { denseCodes } from './dense-codes.ts'
import { CannotEstimate, checkLevel, dropMissing, type Interval, type Maybe } from './shared.ts'

export interface CliffsDelta {
  readonly method: "Cliff's delta"
  readonly nFirst: number
  readonly nSecond: number
  readonly nDropped: number
  /** Pairs in which the first group's value is above, equal to, below the second's. */
  readonly greater: number
  readonly equal: number
  readonly less: number
  /** (greater − less) ÷ pairs. */
  readonly estimate: number
  /** (greater + equal/2) ÷ pairs. */
  readonly probabilityOfSuperiority: number
  /** Cliff's unbiased variance, held above its lowest possible value in `unbiasedFloored`; the consistent one; DeLong's. */
  readonly varianceUnbiased: number
  readonly varianceUnbiasedFloored: number
  readonly varianceConsistent: number
  readonly varianceDeLong: number
  /** Feng and Cliff's asymmetric interval with the consistent variance (usually advised) and the unbiased; null at ±1. */
  readonly interval: Interval
  readonly intervalUnbiased: Interval
  /** By Fisher's z with the null variance, as the R package effectsize has it. */
  readonly intervalFisherZ: Interval
  readonly probabilityOfSuperiorityInterval: Interval
}

/**
 * Cliff's delta, the dominance of a first group's values over a second's (Cliff 1993, Psychol Bull 114:494–509; intervals Feng and Cliff
 * 2004, J Mod Appl Stat Methods 3:322–332; DeLong, DeLong and Clarke-Pearson 1988, Biometrics 44:837–845). Missing values are
 * dropped and counted; values that differ by rounding error only are equal.
 *
 * @throws CannotEstimate for a group of fewer than 2
 */
export function cliffsDelta(
  first: ArrayLike<Maybe>,
  second: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): CliffsDelta {
  checkLevel('cliffsDelta', level)
  const a = dropMissing(first)
  const b = dropMissing(second)
  const n1 = a.known.length
  const n2 = b.known.length
  if (n1 < 2 || n2 < 2) throw new CannotEstimate('cliffsDelta', 'two values in each group', `${n1} and ${n2}`)
  const codes = denseCodes([...a.known, ...b.known])
  const rows = new Float64Array(n1)
  const columns = new Float64Array(n2)
  let greater = 0
  let less = 0
  for (let i = 0; i < n1; i++)
    for (let j = 0; j < n2; j++) {
      const sign = Math.sign(codes[i]! - codes[n1 + j]!)
      if (sign > 0) greater++
      else if (sign < 0) less++
      rows[i]! += sign / n2
      columns[j]! += sign / n1
    }
  const d = (greater - less) / (n1 * n2)
  const si = rows.reduce((sum, x) => sum + (x - d) ** 2, 0)
  const sj = columns.reduce((sum, x) => sum + (x - d) ** 2, 0)
  // Each sign is -1, 0 or 1, so the sum of squares about d needs the counts alone.
  const equal = n1 * n2 - greater - less
  const sij = greater * (1 - d) ** 2 + less * (1 + d) ** 2 + equal * d * d
  const unbiased = (n2 ** 2 * si + n1 ** 2 * sj - sij) / (n1 * n2 * (n1 - 1) * (n2 - 1))
  const floored = Math.max(unbiased, (1 - d * d) / (n1 * n2 - 1))
  const consistent =
    (((n2 - 1) * si) / (n1 - 1) + ((n1 - 1) * sj) / (n2 - 1) + sij / ((n1 - 1) * (n2 - 1))) / (n1 * n2)
  const deLong = 4 * (si / 4 / (n1 - 1) / n1 + sj / 4 / (n2 - 1) / n2)
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const fisher = z * Math.sqrt((n1 + n2 + 1) / (3 * n1 * n2))
  const superiority = (d + 1) / 2
  const reach = (z * Math.sqrt(deLong)) / 2
  return {
    method: "Cliff's delta",
    nFirst: n1,
    nSecond: n2,
    nDropped: a.dropped + b.dropped,
    greater,
    equal,
    less,
    estimate: d,
    probabilityOfSuperiority: superiority,
    varianceUnbiased: unbiased,
    varianceUnbiasedFloored: floored,
    varianceConsistent: consistent,
    varianceDeLong: deLong,
    interval: asymmetric(d, consistent, z, level),
    intervalUnbiased: asymmetric(d, floored, z, level),
    intervalFisherZ: {
      lower: Math.tanh(Math.atanh(d) - fisher),
      upper: Math.tanh(Math.atanh(d) + fisher),
      level,
    },
    probabilityOfSuperiorityInterval: { lower: superiority - reach, upper: superiority + reach, level },
  }
}

function asymmetric(d: number, variance: number, z: number, level: number): Interval {
  if (Math.abs(d) === 1) return { lower: null, upper: null, level }
  const reach = z * Math.sqrt(variance) * Math.sqrt((1 - d * d) ** 2 + z * z * variance)
  const by = 1 - d * d + z * z * variance
  return { lower: (d - d ** 3 - reach) / by, upper: (d - d ** 3 + reach) / by, level }
}
