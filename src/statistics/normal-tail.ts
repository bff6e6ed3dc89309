import normal from '@stdlib/stats-base-dists-normal'

/** Density of a normal divided by its distribution function, and the logarithm of the latter, however far down. */
export function normalTail(z: number): { readonly hazard: number; readonly log: number } {
  if (z > -30) {
    const p = normal.cdf(z, 0, 1)
    return { hazard: Math.exp((-z * z) / 2) / (Math.sqrt(2 * Math.PI) * p), log: Math.log(p) }
  }
  // Abramowitz and Stegun (1964) 26.2.12: the terms left out are below 1e-11 here.
  const y = 1 / (z * z)
  const sum = 1 - y * (1 - y * (3 - y * (15 - 105 * y)))
  return { hazard: -z / sum, log: (-z * z) / 2 - Math.log(-z * Math.sqrt(2 * Math.PI)) + Math.log(sum) }
}
