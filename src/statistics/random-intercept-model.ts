import { clusterJackknife, invert, multiply } from './cluster-jackknife.ts'
import { clusterSums } from './cluster-sums.ts'
import { profiled } from './nested-components.ts'
import { type OptimiserRecord, quasiNewton, withNumericalGradient } from './quasi-newton.ts'
import { CannotEstimate } from './shared.ts'

export interface RandomInterceptModel {
  readonly method: 'linear mixed model with one random intercept, restricted maximum likelihood'
  readonly coefficients: readonly number[]
  /** Covariance of the coefficients if the model holds, p x p by rows. */
  readonly modelCovariance: Float64Array
  /** Covariance by leaving out one cluster at a time; null where one cluster alone determines a coefficient. */
  readonly jackknifeCovariance: Float64Array | null
  readonly clusterVariance: number
  readonly residualVariance: number
  readonly remlCriterion: number
  /** True where the cluster variance is 0 at the estimate. */
  readonly singular: boolean
  readonly record: OptimiserRecord
  readonly n: number
  readonly nClusters: number
}

interface Member {
  readonly design: number[][]
  readonly y: number[]
}

/**
 * Linear mixed model y = X b + u + e with one random intercept u per cluster, by REML.
 *
 * Missing values have no place here: leave such rows out before.
 *
 * Source: Laird and Ware (1982) Biometrics 38:963-974.
 *
 * @throws CannotEstimate where there are no more rows than coefficients, fewer than 2 clusters, no residual spread, or a design not of full rank.
 */
export function randomInterceptModel(
  design: readonly (readonly number[])[],
  y: readonly number[],
  cluster: readonly string[],
): RandomInterceptModel {
  const name = 'randomInterceptModel'
  const p = design[0]?.length ?? 0
  if (p === 0 || y.length <= p)
    throw new CannotEstimate(name, `more rows than its ${p} coefficients`, String(y.length))
  const members = membersOf(design, y, cluster)
  if (members.length < 2) throw new CannotEstimate(name, 'two clusters', String(members.length))
  const criterion = criterionOf(members, p, y.length)
  if (!Number.isFinite(criterion(0).criterion))
    throw new CannotEstimate(name, 'a design of full rank and a residual spread', 'none')
  const found = quasiNewton(
    withNumericalGradient((x) => criterion(x[0]! ** 2).criterion),
    [1],
  )
  const ratio = found.x[0]! ** 2
  const { residual, criterion: value } = criterion(ratio)
  const solved = solve(members, p, ratio * residual, residual)
  return {
    method: 'linear mixed model with one random intercept, restricted maximum likelihood',
    ...solved,
    clusterVariance: ratio * residual,
    residualVariance: residual,
    remlCriterion: value,
    singular: Math.abs(found.x[0]!) < 1e-4,
    record: found.record,
    n: y.length,
    nClusters: members.length,
  }
}

function membersOf(
  design: readonly (readonly number[])[],
  y: readonly number[],
  cluster: readonly string[],
): Member[] {
  const byName = new Map<string, Member>()
  y.forEach((value, i) => {
    const known = byName.get(cluster[i]!) ?? { design: [], y: [] }
    known.design.push([...design[i]!])
    known.y.push(value)
    byName.set(cluster[i]!, known)
  })
  return [...byName.values()]
}

/** The REML criterion as a function of the ratio of the cluster's to the residual variance: V = I + ratio 11' per cluster. */
function criterionOf(members: readonly Member[], p: number, n: number) {
  const width = p + 1
  const whole = new Float64Array(width * width)
  const sums = members.map(({ design, y }) => {
    const sum = new Float64Array(width)
    design.forEach((row, i) => {
      const w = [...row, y[i]!]
      for (let a = 0; a < width; a++) {
        sum[a]! += w[a]!
        for (let b = a; b < width; b++) whole[a * width + b]! += w[a]! * w[b]!
      }
    })
    return { n: y.length, sum }
  })
  return (ratio: number) => {
    const total = whole.slice()
    let logDeterminant = 0
    for (const { n: size, sum } of sums) {
      const shrink = ratio / (1 + size * ratio)
      logDeterminant += Math.log(1 + size * ratio)
      for (let a = 0; a < width; a++)
        for (let b = a; b < width; b++) total[a * width + b]! -= shrink * sum[a]! * sum[b]!
    }
    return profiled({ n, width }, total, logDeterminant)
  }
}

function solve(members: readonly Member[], p: number, between: number, residual: number) {
  const covariance = (n: number) =>
    Float64Array.from({ length: n * n }, (_, k) => between + (k % (n + 1) === 0 ? residual : 0))
  const information = new Float64Array(p * p)
  const right = new Float64Array(p)
  for (const { design, y } of members) {
    const sums = clusterSums(design, y, covariance(y.length))
    for (let i = 0; i < p * p; i++) information[i]! += sums.information[i]!
    for (let i = 0; i < p; i++) right[i]! += sums.score[i]!
  }
  const modelCovariance = invert(information, p)!
  const coefficients = multiply(modelCovariance, right, p)
  const residuals = members.map(({ design, y }) =>
    clusterSums(
      design,
      y.map((value, i) => design[i]!.reduce((left, x, j) => left - x * coefficients[j]!, value)),
      covariance(y.length),
    ),
  )
  let jackknifeCovariance: Float64Array | null = null
  try {
    jackknifeCovariance = clusterJackknife(residuals).covariance
  } catch (error) {
    if (!(error instanceof CannotEstimate)) throw error
  }
  return { coefficients: Array.from(coefficients), modelCovariance, jackknifeCovariance }
}
