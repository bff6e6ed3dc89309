import normal from '@stdlib/stats-base-dists-normal'

/**
 * Upper tail of the chi-square distribution with whole `df` of 1 or more, to full relative precision however small it is
 * (1 - cdf would lose it below 1e-16).
 * Source: Abramowitz and Stegun (1964) 26.4.4 and 26.4.5.
 */
export function chiSquareUpperTail(x: number, df: number): number {
  if (Number.isNaN(x)) return Number.NaN
  if (x <= 0) return 1
  if (x === Infinity) return 0
  // Terms are kept times exp(-x/2), added to its logarithm, lest the power overflow first.
  const odd = df % 2 === 1
  let logTerm = odd ? 0.5 * Math.log((2 * x) / Math.PI) - x / 2 : -x / 2
  let tail = odd ? 2 * normal.cdf(-Math.sqrt(x), 0, 1) : 0
  for (let k = odd ? 3 : 2; k <= df; k += 2) {
    tail += Math.exp(logTerm)
    logTerm += Math.log(x / k)
  }
  return Math.min(1, tail)
}
