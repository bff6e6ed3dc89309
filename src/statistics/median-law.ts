import gammaln from '@stdlib/math-base-special-gammaln'
import binomial from '@stdlib/stats-base-dists-binomial'
import { CannotEstimate } from './shared.ts'

/** A discrete law: values ascending with their probabilities. */
export interface DiscreteLaw {
  readonly value: readonly number[]
  readonly probability: readonly number[]
}

/** The law of the median of n draws with replacement from ascending values. */
export function medianLaw(sorted: Float64Array, scale: number): DiscreteLaw {
  const n = sorted.length
  const value = Array.from(new Set(sorted))
  const upTo = value.map((v) => sorted.filter((s) => s <= v).length / n)
  const rank = Math.floor((n + 1) / 2)
  // Chance that the order statistic of that rank is at most the value: at least `rank` draws are.
  const reach = upTo.map((share) => 1 - binomial.cdf(rank - 1, n, share))
  const single = reach.map((r, i) => r - (i > 0 ? reach[i - 1]! : 0))
  if (n % 2 === 1) return { value, probability: single }
  const half = n / 2
  const logWays = gammaln(n + 1) - 2 * gammaln(half + 1)
  const ways = Math.exp(logWays)
  const points: [number, number][] = []
  value.forEach((low, i) => {
    // The lower middle draw is `low`, the upper one `high`: half the draws reach low and not less, half are high or more.
    const lowShare = upTo[i]! ** half - (i > 0 ? upTo[i - 1]! : 0) ** half
    let different = 0
    for (let j = i + 1; j < value.length; j++) {
      const highShare = (1 - upTo[j - 1]!) ** half - (1 - upTo[j]!) ** half
      const probability = ways * lowShare * highShare
      different += probability
      points.push([Number(((low + value[j]!) / 2).toPrecision(12)), probability])
    }
    points.push([low, Math.max(0, single[i]! - different)])
  })
  return gather(points, scale)
}

/** Most pairs of values that the law of a difference is computed from. */
const MOST_PAIRS = 4_000_000

export function differenceLaw(first: DiscreteLaw, second: DiscreteLaw, scale: number): DiscreteLaw {
  const a = withoutDust(first)
  const b = withoutDust(second)
  const pairs = a.length * b.length
  if (pairs > MOST_PAIRS)
    throw new CannotEstimate(
      'medianBootstrap',
      `at most ${MOST_PAIRS} pairs of possible medians`,
      String(pairs),
    )
  // Decimals that the subtraction left in the last digits are cleared away: 0.6, not 0.5999999999999943.
  const digits = Math.min(100, Math.max(0, 11 - Math.floor(Math.log10(scale || 1))))
  const points = a.flatMap(([u, p]) =>
    b.map(([v, q]): [number, number] => [Number((u - v).toFixed(digits)), p * q]),
  )
  return gather(points, scale)
}

/** Values with less than 1e-15 of the probability cannot move any figure in the digits a double has. */
function withoutDust(law: DiscreteLaw): [number, number][] {
  return law.value.flatMap((value, i): [number, number][] =>
    law.probability[i]! < 1e-15 ? [] : [[value, law.probability[i]!]],
  )
}

/** Joins points whose values differ by rounding error only. */
function gather(points: [number, number][], scale: number): DiscreteLaw {
  points.sort((a, b) => a[0] - b[0])
  const value: number[] = []
  const probability: number[] = []
  for (const [at, weight] of points) {
    if (weight === 0) continue
    const last = value.length - 1
    if (last >= 0 && at - value[last]! <= 1e-12 * scale) probability[last]! += weight
    else {
      value.push(at)
      probability.push(weight)
    }
  }
  return { value, probability }
}
