import { CannotEstimate } from '../shared.ts'
import { dot } from './group-sums.ts'
import type { Fitted } from './likelihood-ratio-test.ts'
import { completeRows, type MixedModelData } from './mixed-data.ts'
import { orthonormalise } from './working-columns.ts'

/**
 * Likelihood of the ordinary regression that a mixed model becomes without its random effects, on the rows that the mixed model
 * would use, for {@link likelihoodRatioTest}: m (1 + log(2 pi RSS / m)), m = n under ML, n - p under REML with log |X'X| added.
 *
 * @throws CannotEstimate as linearMixedModel does of its columns
 */
export function linearModelLikelihood(
  data: MixedModelData,
  {
    estimation = 'REML',
    intercept = true,
  }: { readonly estimation?: 'REML' | 'ML'; readonly intercept?: boolean } = {},
): Fitted & { readonly estimation: 'REML' | 'ML' } {
  const name = 'linearModelLikelihood'
  const rows = completeRows(name, data, intercept)
  const n = rows.y.length
  const p = rows.fixed.length
  if (n <= p) throw new CannotEstimate(name, `more complete rows than its ${p} coefficients`, String(n))
  const { residual, logDeterminantR } = orthonormalise(name, rows.fixed, rows.fixedNames, rows.y)
  const restricted = estimation === 'REML'
  const degrees = restricted ? n - p : n
  const deviance =
    degrees * (1 + Math.log((2 * Math.PI * dot(residual, residual)) / degrees)) +
    (restricted ? 2 * logDeterminantR : 0)
  return {
    estimation,
    logLikelihood: -deviance / 2,
    nParameters: p + 1,
    nObservations: n,
    fixed: rows.fixedNames.map((fixedName) => ({ name: fixedName })),
  }
}
