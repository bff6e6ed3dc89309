import { chiSquareUpperTail } from '../chi-square-tail.ts'
import { CannotEstimate } from '../shared.ts'

/** What a likelihood-ratio test needs of a fit. */
export interface Fitted {
  readonly logLikelihood: number
  readonly nParameters: number
  readonly nObservations: number
  readonly estimation?: 'REML' | 'ML'
  readonly fixed?: readonly { readonly name: string }[]
}

export interface LikelihoodRatioTest {
  readonly method: 'likelihood-ratio test'
  readonly chiSquare: number
  readonly df: number
  readonly p: number
  /** Half chi-square of df - 1, half of df: for one more variance tested at its boundary of 0; meaningless otherwise. */
  readonly pBoundaryMixture: number
}

/**
 * Likelihood-ratio test of a simpler model within a fuller one: 2 (l1 - l0) against chi-square of the parameters between them.
 * Against a boundary (a variance of 0) that is conservative; `pBoundaryMixture` is the half-and-half mixture.
 *
 * Source: Self and Liang (1987) JASA 82:605-610, cases 5 and 6; Stram and Lee (1994) Biometrics 50:1171-1177.
 *
 * @throws CannotEstimate where the models are of different observations or not both ML or both REML, differ in their fixed effects by
 * name under REML, or the fuller has no more parameters
 */
export function likelihoodRatioTest(simpler: Fitted, fuller: Fitted): LikelihoodRatioTest {
  const name = 'likelihoodRatioTest'
  if (simpler.nObservations !== fuller.nObservations)
    throw new CannotEstimate(
      name,
      'two models of the same observations',
      `${simpler.nObservations} and ${fuller.nObservations}`,
    )
  if (simpler.estimation !== fuller.estimation)
    throw new CannotEstimate(
      name,
      'both models by ML or both by REML',
      `${simpler.estimation} and ${fuller.estimation}`,
    )
  const names = (fit: Fitted) =>
    fit.fixed
      ?.map((effect) => effect.name)
      .sort()
      .join(', ') ?? ''
  if (fuller.estimation === 'REML' && names(simpler) !== names(fuller))
    throw new CannotEstimate(
      name,
      'the same fixed effects under REML',
      `${names(simpler)} and ${names(fuller)}`,
    )
  const df = fuller.nParameters - simpler.nParameters
  if (df < 1) throw new CannotEstimate(name, 'a fuller model with more parameters', `${df} more`)
  const value = Math.max(0, 2 * (fuller.logLikelihood - simpler.logLikelihood))
  const p = chiSquareUpperTail(value, df)
  const below = df === 1 ? Number(value <= 0) : chiSquareUpperTail(value, df - 1)
  return { method: 'likelihood-ratio test', chiSquare: value, df, p, pBoundaryMixture: (below + p) / 2 }
}
