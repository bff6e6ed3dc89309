import { chiSquareUpperTail } from '../../../src/statistics/chi-square-tail.ts'
import {
  type CumulativeLinkMixedModel,
  cumulativeLinkMixedModel,
  cumulativeLinkModel,
  likelihoodRatioTest,
  type OrdinalFit,
} from '../../../src/statistics/index.ts'
import type { Adapter, CaseReader, Found } from './case-columns.ts'

type Link = 'logit' | 'probit'

function modelOf(reader: CaseReader) {
  const predictors = [reader.columns?.predictors ?? []].flat().map(String)
  return {
    category: reader.numbers('outcome'),
    fixed: Object.fromEntries(predictors.map((name) => [name, reader.named(name)])),
    link: String(reader.options.link) as Link,
  }
}

const column = <T extends { readonly name: string }>(rows: readonly T[], value: (row: T) => unknown): Found =>
  Object.fromEntries(rows.map((row) => [row.name, value(row)]))

const estimates = ({ thresholds, coefficients, logLikelihood }: OrdinalFit): Found => ({
  thresholds: column(thresholds, (t) => t.estimate),
  threshold_se: column(thresholds, (t) => t.se),
  coefficients: column(coefficients, (c) => c.estimate),
  coefficient_se: column(coefficients, (c) => c.se),
  log_likelihood: logLikelihood,
})

export const ordinalCase: Adapter = (reader) => {
  const { link, ...data } = modelOf(reader)
  const fit = cumulativeLinkModel(data, { link })
  const chiSquare = 2 * (fit.logLikelihood - fit.nullLogLikelihood)
  const df = fit.coefficients.length
  return {
    n: fit.nObservations,
    ...estimates(fit),
    z: column(fit.coefficients, (c) => c.z),
    p_wald: column(fit.coefficients, (c) => c.p),
    aic: fit.aic,
    null_log_likelihood: fit.nullLogLikelihood,
    lrt_chi2: chiSquare,
    lrt_df: df,
    lrt_p: chiSquareUpperTail(chiSquare, df),
  }
}

export const ordinalMixedCase: Adapter = (reader) => {
  const { link, ...fixed } = modelOf(reader)
  const data = { ...fixed, groups: reader.texts('subject') }
  const exact = cumulativeLinkMixedModel(data, { link, nodes: 41 })
  const without = likelihoodRatioTest(cumulativeLinkModel(fixed, { link }), exact)
  const blocks = Object.keys(reader.expected).filter((key) => key.startsWith('nAGQ_'))
  return {
    n: exact.nObservations,
    n_subjects: exact.nGroups,
    exact: {
      ...mixed(exact),
      se_log_random_sd: exact.logRandomSdError,
      aic: exact.aic,
      lrt_chi2_no_random_effect: without.chiSquare,
      lrt_p_boundary_mixture: without.pBoundaryMixture,
      latent_icc: exact.latentIntraclassCorrelation,
    },
    ...Object.fromEntries(
      blocks.map((key) => [
        key,
        mixed(cumulativeLinkMixedModel(data, { link, nodes: Number(key.slice(5)) })),
      ]),
    ),
    subjects: exact.labels,
    conditional_mode: Array.from(exact.conditionalModes),
    conditional_mode_variance: Array.from(exact.conditionalModeVariances),
  }
}

const mixed = (fit: CumulativeLinkMixedModel): Found => ({ ...estimates(fit), random_sd: fit.randomSd })
