import {
  type GroupEffects,
  type LinearMixedModel,
  likelihoodRatioTest,
  linearMixedModel,
  linearModelLikelihood,
  type MixedModelData,
  type MixedModelOptions,
} from '../../../src/statistics/index.ts'
import type { Adapter, CaseReader, Found } from './case-columns.ts'

const named = (names: readonly string[], values: readonly number[]): Found =>
  Object.fromEntries(names.map((name, i) => [name, values[i]!]))

const columnsOf = (reader: CaseReader, role: string): string[] =>
  [reader.columns?.[role] ?? []].flat().map(String)

const dataOf = (reader: CaseReader, fixed: readonly string[]): MixedModelData => {
  const extra = columnsOf(reader, 'random').filter((name) => name !== '1' && !fixed.includes(name))
  return {
    y: reader.numbers('outcome'),
    fixed: Object.fromEntries(fixed.filter((name) => name !== '1').map((name) => [name, reader.named(name)])),
    groups: reader.texts('subject'),
    randomOnly: Object.fromEntries(extra.map((name) => [name, reader.named(name)])),
  }
}

export const linearMixedModelCase: Adapter = (reader) => {
  const fixed = columnsOf(reader, 'fixed')
  const random = columnsOf(reader, 'random').map((name) => (name === '1' ? '(Intercept)' : name))
  const estimation = reader.options.method === 'ML' ? 'ML' : 'REML'
  const correlated = reader.options.random_effects_correlated === true
  const options = { estimation, random, correlated, intercept: fixed.includes('1') } as const
  const data = dataOf(reader, fixed)
  const fit = linearMixedModel(data, options)
  return {
    ...fixedPart(fit),
    ...randomPart(fit),
    ...test(reader, data, options, fit),
    ...blups(fit.groupEffects[0]!),
  }
}

function fixedPart(fit: LinearMixedModel): Found {
  const names = fit.fixed.map((effect) => effect.name)
  return {
    n_obs: fit.nObservations,
    n_subjects: fit.nGroups,
    fixed: named(
      names,
      fit.fixed.map((effect) => effect.estimate),
    ),
    se: named(
      names,
      fit.fixed.map((effect) => effect.se),
    ),
    fixed_covariance: fit.fixedCovariance,
    satterthwaite_df: named(
      names,
      fit.fixed.map((effect) => effect.df),
    ),
    t: named(
      names,
      fit.fixed.map((effect) => effect.t),
    ),
    p_satterthwaite: named(
      names,
      fit.fixed.map((effect) => effect.p),
    ),
  }
}

const short = (name: string): string => (name === '(Intercept)' ? 'intercept' : name)

function randomPart(fit: LinearMixedModel): Found {
  const level = fit.random[0]!
  return {
    random_sd: named(level.columns.map(short), level.sd),
    random_correlation: level.correlation,
    random_covariance: level.covariance,
    residual_sd: fit.residualSd,
    icc: fit.intraclassCorrelation,
    log_likelihood: fit.logLikelihood,
    deviance: fit.deviance,
    n_parameters: fit.nParameters,
    aic: fit.aic,
    bic_n_observations: fit.bic,
  }
}

/** The simpler model is given in words: `likelihood_ratio_against`. */
function test(
  reader: CaseReader,
  data: MixedModelData,
  options: MixedModelOptions,
  fit: LinearMixedModel,
): Found {
  const against = reader.options.likelihood_ratio_against
  if (typeof against !== 'string') return {}
  const simpler = simplerModel(against, reader, data, options)
  const found = likelihoodRatioTest(simpler, fit)
  return {
    simpler_log_likelihood: simpler.logLikelihood,
    lrt_chi2: found.chiSquare,
    lrt_df: found.df,
    lrt_p: found.p,
    lrt_p_boundary_mixture: against.startsWith('the same model') ? null : found.pBoundaryMixture,
  }
}

function simplerModel(against: string, reader: CaseReader, data: MixedModelData, options: MixedModelOptions) {
  if (against.startsWith('ordinary regression')) return linearModelLikelihood(data, options)
  if (against.includes('random intercept only'))
    return linearMixedModel(data, { ...options, random: ['(Intercept)'] })
  return linearMixedModel({ ...data, fixed: simplerFixed(against, reader, data.fixed) }, options)
}

/** "one slope for Days" replaces the pieces by that column; "without X", or without a mean, leaves a column out. */
function simplerFixed(
  against: string,
  reader: CaseReader,
  fixed: MixedModelData['fixed'],
): MixedModelData['fixed'] {
  const straight = /one slope for (\S+)/.exec(against)?.[1]
  if (straight !== undefined) return { [straight]: reader.named(straight) }
  const named = /without (\S+)/.exec(against)?.[1]
  const names = Object.keys(fixed)
  const left = names.find((name) => name === named) ?? names.find((name) => /between|mean/.test(name))
  if (left === undefined) throw new Error(`unknown simpler model: ${against}`)
  return Object.fromEntries(Object.entries(fixed).filter(([name]) => name !== left))
}

function blups({ labels, effects, conditionalCovariance }: GroupEffects): Found {
  return {
    subjects: labels,
    conditional_covariance: conditionalCovariance === null ? null : Array.from(conditionalCovariance),
    ...Object.fromEntries(
      effects.flatMap(({ name, estimate, conditionalVariance, predictionErrorVariance }) => [
        [`blup_${short(name)}`, Array.from(estimate)],
        [`conditional_variance_${short(name)}`, Array.from(conditionalVariance)],
        [`prediction_error_variance_${short(name)}`, Array.from(predictionErrorVariance)],
      ]),
    ),
  }
}
