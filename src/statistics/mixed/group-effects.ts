import type { LevelShape } from './covariance-parameters.ts'
import { INTERCEPT } from './mixed-data.ts'
import type { LevelProducts, Relative } from './profiled-deviance.ts'

/** Predicted random effects of one column over a level's groups, in the order of its labels. */
export interface RandomEffect {
  readonly name: string
  readonly estimate: Float64Array
  /** Var(b | y), coefficients and variances taken as known. */
  readonly conditionalVariance: Float64Array
  /** Var(predicted b - b), with the coefficients estimated (Henderson 1975). */
  readonly predictionErrorVariance: Float64Array
}

export interface GroupEffects {
  readonly labels: readonly (string | number)[]
  readonly effects: readonly RandomEffect[]
  /** Cov(intercept, slope | y); null with one column. */
  readonly conditionalCovariance: Float64Array | null
}

/** From the working columns to the ones given: b0 = w0 + shift w1, b1 = w1 / scale. */
export interface Unscale {
  readonly shift: number
  readonly scale: number
}

/** Covariance in the given columns of effects on the working ones. */
export const unscaled = ({ shift, scale }: Unscale, v11: number, v12: number, v22: number): Relative => [
  v11 + 2 * shift * v12 + shift * shift * v22,
  (v12 + shift * v22) / scale,
  v22 / (scale * scale),
]

export interface EffectsInput {
  readonly shape: LevelShape
  readonly slopeName: string
  readonly labels: readonly (string | number)[]
  readonly products: LevelProducts
  readonly relative: Relative
  readonly unscale: Unscale
  readonly beta: Float64Array
  readonly inverse: Float64Array
  readonly residualVariance: number
}

/**
 * Best linear unbiased predictions b = P U'H^-1(y - X beta) of a level's groups, Var(b|y) = s²(P - P U'H^-1U P), and the
 * prediction error variance, which adds s² P B M^-1 B' P.
 */
export function groupEffects(input: EffectsInput): GroupEffects {
  const { shape, products, labels, unscale, residualVariance } = input
  const [p11, p12, p22] = input.relative
  const n = labels.length
  const p = input.beta.length
  const width = p + 1
  const columns = Array.from({ length: 7 }, () => new Float64Array(n))
  const [e0, e1, c0, c01, c1, q0, q1] = columns as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  const dx = new Float64Array(p)
  const dy = new Float64Array(p)
  for (let g = 0; g < n; g++) {
    const at = 2 * width * g
    let s = products.c[at + p]!
    let t = products.c[at + width + p]!
    for (let j = 0; j < p; j++) {
      const x = products.c[at + j]!
      const y = products.c[at + width + j]!
      s -= x * input.beta[j]!
      t -= y * input.beta[j]!
      dx[j] = p11 * x + p12 * y
      dy[j] = p12 * x + p22 * y
    }
    const w0 = p11 * s + p12 * t
    const w1 = p12 * s + p22 * t
    e0[g] = w0 + unscale.shift * w1
    e1[g] = w1 / unscale.scale
    const [a, b, d] = [products.a[3 * g]!, products.a[3 * g + 1]!, products.a[3 * g + 2]!]
    const m11 = a * p11 + b * p12
    const m12 = a * p12 + b * p22
    const m21 = b * p11 + d * p12
    const m22 = b * p12 + d * p22
    const v11 = p11 - (p11 * m11 + p12 * m21)
    const v12 = p12 - (p11 * m12 + p12 * m22)
    const v22 = p22 - (p12 * m12 + p22 * m22)
    const conditional = unscaled(unscale, v11, v12, v22)
    c0[g] = residualVariance * conditional[0]
    c01[g] = residualVariance * conditional[1]
    c1[g] = residualVariance * conditional[2]
    const added = unscaled(
      unscale,
      form(dx, dx, input.inverse),
      form(dx, dy, input.inverse),
      form(dy, dy, input.inverse),
    )
    q0[g] = c0[g]! + residualVariance * added[0]
    q1[g] = c1[g]! + residualVariance * added[2]
  }
  const effects: RandomEffect[] = []
  if (shape.first)
    effects.push({ name: INTERCEPT, estimate: e0, conditionalVariance: c0, predictionErrorVariance: q0 })
  if (shape.second)
    effects.push({
      name: input.slopeName,
      estimate: e1,
      conditionalVariance: c1,
      predictionErrorVariance: q1,
    })
  return { labels, effects, conditionalCovariance: shape.first && shape.second ? c01 : null }
}

export function form(x: Float64Array, y: Float64Array, m: Float64Array): number {
  const p = x.length
  let sum = 0
  for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) sum += x[i]! * m[i * p + j]! * y[j]!
  return sum
}
