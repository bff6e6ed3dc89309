import gammaln from '@stdlib/math-base-special-gammaln'
import normal from '@stdlib/stats-base-dists-normal'
import { findRoot } from './find-root.ts'
import { CannotEstimate } from './shared.ts'

/*
 * Ours, since the gamma distribution of @stdlib (0.3.1) is wrong by up to 1.7 % in its tails near the mean of shapes from some
 * 200 on, which puts the limits of a rate of 1,000 events off in the 4th digit.
 */

/** x^a e^−x / Γ(a), without overflow and, for a large shape, without cancellation (Loader 2000). */
function densityTimesX(x: number, shape: number): number {
  if (shape < 16) return Math.exp(shape * Math.log(x) - x - gammaln(shape))
  const away = (x - shape) / shape
  const s = 1 / (shape * shape)
  const stirling = (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s / 1188)))) / shape
  return Math.exp(shape * (Math.log1p(away) - away) - stirling) * shape * Math.sqrt(1 / (2 * Math.PI * shape))
}

/** Sum of x^n / ((a+1) … (a+n)) from n = 0: Abramowitz and Stegun (1964) 6.5.29. */
function series(x: number, shape: number): number {
  let term = 1
  let sum = 1
  for (let n = 1; term > sum * 1e-17; n++) {
    term *= x / (shape + n)
    sum += term
  }
  return sum / shape
}

/** Continued fraction 6.5.31 of Abramowitz and Stegun (1964), by Lentz's method. */
function fraction(x: number, shape: number): number {
  let b = x + 1 - shape
  let c = 1 / Number.MIN_VALUE ** 0.5
  let d = 1 / b
  let h = d
  for (let n = 1; n < 1e7; n++) {
    const a = -n * (n - shape)
    b += 2
    d = 1 / (a * d + b)
    c = b + a / c
    h *= c * d
    if (Math.abs(c * d - 1) < 1e-16) break
  }
  return h
}

/**
 * P(X ≤ x) of a gamma variable with scale 1, or P(X > x) with `upper`, each without cancellation.
 *
 * @throws CannotEstimate unless the shape is above 0
 */
export function gammaCdf(x: number, shape: number, { upper = false } = {}): number {
  if (!(shape > 0)) throw new CannotEstimate('gammaCdf', 'a shape above 0', String(shape))
  if (x <= 0) return upper ? 1 : 0
  if (x === Infinity) return upper ? 0 : 1
  const mass = densityTimesX(x, shape)
  const below = x < shape + 1
  const tail = Math.min(1, mass * (below ? series(x, shape) : fraction(x, shape)))
  return below === upper ? 1 - tail : tail
}

/**
 * The x at which P(X ≤ x) of a gamma variable with scale 1 is `probability`. `upper` takes `probability` as P(X > x).
 *
 * @throws CannotEstimate unless the shape is above 0 and 0 < probability < 1
 */
export function gammaQuantile(probability: number, shape: number, { upper = false } = {}): number {
  if (!(probability > 0 && probability < 1))
    throw new CannotEstimate('gammaQuantile', 'a probability between 0 and 1', String(probability))
  // On the logarithm of x, and of the smaller tail: both ends keep their relative precision.
  const far = probability > 0.5 !== upper
  const small = probability > 0.5 ? 1 - probability : probability
  const miss = (logX: number): number => {
    const tail = gammaCdf(Math.exp(logX), shape, { upper: far })
    return far ? Math.log(small / tail) : Math.log(tail / small)
  }
  // Wilson and Hilferty (1931): the cube root of a gamma variable is nearly normal.
  const z = normal.quantile(upper ? 1 - probability : probability, 0, 1)
  const root = 1 - 1 / (9 * shape) + z / (3 * Math.sqrt(shape))
  const start = Math.log(shape * Math.max(root, 0.1) ** 3)
  let reach = 0.01
  while (miss(start - reach) > 0 || miss(start + reach) < 0) reach *= 2
  return Math.exp(findRoot(miss, start - reach, start + reach))
}
