import { chain, parametersOf, unpack } from './covariance-parameters.ts'
import { product, symmetricEigen } from './dense-matrix.ts'
import type { LikelihoodMaximum, Search } from './maximise-likelihood.ts'
import type { LevelProducts } from './profiled-deviance.ts'

/**
 * Satterthwaite's degrees of freedom of each coefficient, 2 v² / (g' A g): v its variance, g the gradient of v by the variance
 * parameters and A twice the inverse second derivatives of the deviance (its asymptotic covariance), here by (Cholesky entries,
 * log residual variance). On the boundary the entries at 0 have no gradient, and the degrees are those of the model without them.
 *
 * Source: Kuznetsova, Brockhoff and Christensen (2017) J Stat Softw 82(13), section 2.2; Giesbrecht and Burns (1985).
 *
 * @param contrasts rows of p: each coefficient in terms of the working ones
 */
export function satterthwaiteDegrees(
  search: Search,
  maximum: LikelihoodMaximum,
  contrasts: Float64Array,
): number[] {
  const { theta, evaluation, hessian } = maximum
  const { inner, outer, deviance } = search
  const k = theta.length
  const p = evaluation.beta.length
  const low = unpack(inner, theta, 0)
  const high = unpack(outer, theta, parametersOf(inner))
  const byTheta = (gradients: readonly [Float64Array, Float64Array]): number[] => [
    ...chain(inner, low, gradients[0]),
    ...chain(outer, high, gradients[1]),
  ]
  const residual = evaluation.rss / evaluation.degrees
  // The deviance as a function of theta and log residual variance: its second derivatives from those of the profile.
  const cross = byTheta(evaluation.rssGradients).map((g) => -g / residual)
  const size = k + 1
  const full = new Float64Array(size * size)
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++)
      full[i * size + j] = hessian[i * k + j]! + (cross[i]! * cross[j]!) / evaluation.degrees
    full[i * size + k] = cross[i]!
    full[k * size + i] = cross[i]!
  }
  full[k * size + k] = evaluation.degrees
  const weights = product(contrasts, evaluation.inverse, p, p, p)
  const width = p + 1
  const innerParts = contrastGradients(deviance.inner, weights, width)
  const outerParts = contrastGradients(deviance.outer, weights, width)
  const eigen = symmetricEigen(full, size)
  return Array.from({ length: p }, (_, j) => {
    let variance = 0
    for (let i = 0; i < p; i++) variance += weights[j * p + i]! * contrasts[j * p + i]!
    const gradient = [
      ...chain(inner, low, innerParts, 3 * j),
      ...chain(outer, high, outerParts, 3 * j),
      variance,
    ]
    return (2 * variance * variance) / (2 * inverseForm(eigen, gradient))
  })
}

/** g' H^-1 g over the directions of positive curvature. */
function inverseForm(
  { values, vectors }: { readonly values: Float64Array; readonly vectors: Float64Array },
  gradient: readonly number[],
): number {
  const n = gradient.length
  const most = Math.max(...values)
  let sum = 0
  for (let j = 0; j < n; j++) {
    if (!(values[j]! > 1e-9 * most)) continue
    let along = 0
    for (let i = 0; i < n; i++) along += vectors[i * n + j]! * gradient[i]!
    sum += along ** 2 / values[j]!
  }
  return sum
}

/** Per coefficient, the gradient of its variance (over the residual variance) by the relative covariance: sum of v v', v = B w. */
function contrastGradients({ a, c }: LevelProducts, weights: Float64Array, width: number): Float64Array {
  const p = width - 1
  const out = new Float64Array(3 * p)
  for (let g = 0; g < a.length / 3; g++) {
    const at = 2 * width * g
    for (let j = 0; j < p; j++) {
      let x = 0
      let y = 0
      for (let i = 0; i < p; i++) {
        x += weights[j * p + i]! * c[at + i]!
        y += weights[j * p + i]! * c[at + width + i]!
      }
      out[3 * j]! += x * x
      out[3 * j + 1]! += x * y
      out[3 * j + 2]! += y * y
    }
  }
  return out
}
