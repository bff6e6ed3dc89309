import { CannotEstimate } from '../shared.ts'
import { type LevelShape, parametersOf, relativeOf, unpack } from './covariance-parameters.ts'
import type { GroupSums } from './group-sums.ts'
import { type LikelihoodMaximum, maximiseLikelihood, type Search } from './maximise-likelihood.ts'
import { ProfiledDeviance, type Relative } from './profiled-deviance.ts'

export interface Maximised {
  readonly search: Search
  readonly maximum: LikelihoodMaximum
  readonly singular: boolean
  readonly innerRelative: Relative
  readonly outerRelative: Relative
}

/**
 * The maximum of the likelihood. Where it lies on the boundary the search is done again from small variances, and the better
 * of the two is kept, since likelihoods with a maximum on the boundary may have another inside.
 */
export function searchMaximum(
  statistic: string,
  sums: GroupSums,
  restricted: boolean,
  inner: LevelShape,
  outer: LevelShape,
): Maximised {
  const search: Search = { deviance: new ProfiledDeviance(sums, restricted), inner, outer }
  let maximum = maximiseLikelihood(search)
  if (maximum === null)
    throw new CannotEstimate(statistic, 'a likelihood that can be computed', 'one that cannot')
  if (isSingular(search, maximum.theta)) {
    const again = maximiseLikelihood(
      search,
      maximum.theta.map((_, j) => (maximum!.optimiser.start[j] === 0 ? 0.02 : 0.15)),
    )
    if (again !== null && again.evaluation.deviance < maximum.evaluation.deviance - 1e-7) maximum = again
    else refresh(search, maximum.theta)
  }
  const innerRelative = relativeOf(unpack(inner, maximum.theta, 0))
  const outerRelative = relativeOf(unpack(outer, maximum.theta, parametersOf(inner)))
  // Products per group are those of the last evaluation: leave them at the maximum.
  refresh(search, maximum.theta)
  return { search, maximum, singular: isSingular(search, maximum.theta), innerRelative, outerRelative }
}

function refresh({ deviance, inner, outer }: Search, theta: Float64Array): void {
  deviance.at(relativeOf(unpack(inner, theta, 0)), relativeOf(unpack(outer, theta, parametersOf(inner))))
}

/** A relative standard deviation, or what is left of one given the other column, below 1e-4 (the bound that lme4 uses). */
function isSingular({ inner, outer }: Search, theta: Float64Array): boolean {
  const low = unpack(inner, theta, 0)
  const high = unpack(outer, theta, parametersOf(inner))
  const flat = (shape: LevelShape, [a, , c]: readonly number[]) =>
    (shape.first && Math.abs(a!) < 1e-4) || (shape.second && Math.abs(c!) < 1e-4)
  return flat(inner, low) || flat(outer, high)
}
