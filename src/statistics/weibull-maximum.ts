import { choleskyFactor, choleskySolve } from './linear-solve.ts'
import { CannotEstimate } from './shared.ts'
import { type Derivatives, type WeibullData, weibullLikelihood } from './weibull-likelihood.ts'

export interface WeibullMaximum extends Derivatives {
  readonly parameters: number[]
  readonly converged: boolean
  readonly iterations: number
}

/** Newton's method with step halving; where the information is not positive definite its diagonal is raised. */
export function maximiseWeibull(data: WeibullData, maximumIterations: number): WeibullMaximum {
  let parameters = startingValues(data)
  let here = weibullLikelihood(data, parameters)
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = newtonStep(here)
    const gain = step.reduce((sum, s, j) => sum + s * here.gradient[j]!, 0)
    let found = false
    for (let shrink = 1; shrink > 1e-10 && !found; shrink /= 2) {
      const trial = parameters.map((value, j) => value + shrink * step[j]!)
      const there = weibullLikelihood(data, trial)
      if (!(there.value >= here.value - 1e-13 * Math.abs(here.value))) continue
      found = true
      parameters = trial
      here = there
    }
    if (gain < 1e-18 * data.left.length || !found)
      return { ...here, parameters, converged: gain < 1e-9 && isMaximum(here, step), iterations: iteration }
  }
  return { ...here, parameters, converged: false, iterations: maximumIterations }
}

/** Running off to infinity, the likelihood flattens while Newton's steps stay long, or its curvature is lost. */
function isMaximum(here: Derivatives, step: readonly number[]): boolean {
  return choleskyFactor(here.information) !== null && step.every((s) => Math.abs(s) < 1e-3)
}

function newtonStep(here: Derivatives): number[] {
  for (let ridge = 0; ; ridge = ridge === 0 ? 1e-4 : ridge * 10) {
    const raised = here.information.map((row, j) =>
      row.map((value, k) => (j === k ? value + ridge * (Math.abs(value) + 1) : value)),
    )
    const factor = choleskyFactor(raised)
    if (factor !== null) return choleskySolve(factor, here.gradient)
    if (ridge > 1e12) return here.gradient.map(() => 0)
  }
}

/** Least squares on the logarithm of the middle of each interval. */
function startingValues(data: WeibullData): number[] {
  const width = data.design[0]!.length
  const middle = Array.from(data.left, (from, i) => {
    const to = data.right[i]!
    return Math.log(Number.isFinite(to) ? (from + to) / 2 : Math.max(from, Number.MIN_VALUE))
  })
  const known = middle.filter((y) => y > -700)
  const floor = Math.min(...known)
  const y = middle.map((value) => Math.max(value, floor))
  const cross = Array.from({ length: width }, (_, j) =>
    Array.from({ length: width }, (_, k) => data.design.reduce((sum, row) => sum + row[j]! * row[k]!, 0)),
  )
  const factor = choleskyFactor(cross)
  if (factor === null)
    throw new CannotEstimate(
      'intervalCensoredWeibull',
      'covariates that are not collinear',
      'a singular design',
    )
  const beta = choleskySolve(
    factor,
    Array.from({ length: width }, (_, j) => data.design.reduce((sum, row, i) => sum + row[j]! * y[i]!, 0)),
  )
  const squares = data.design.reduce((sum, row, i) => {
    const fitted = row.reduce((total, x, j) => total + x * beta[j]!, 0)
    return sum + (y[i]! - fitted) ** 2
  }, 0)
  const scale = Math.max(0.1, (Math.sqrt(squares / y.length) * Math.sqrt(6)) / Math.PI)
  beta[0]! += 0.5772 * scale
  return [...beta, Math.log(scale)]
}
