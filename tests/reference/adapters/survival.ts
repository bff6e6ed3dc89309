import { intervalCensoredWeibull } from '../../../src/statistics/interval-censored-weibull.ts'
import { kaplanMeier, type SurvivalBand } from '../../../src/statistics/kaplan-meier.ts'
import { logRankTest } from '../../../src/statistics/log-rank.ts'
import { turnbull, turnbullSurvival } from '../../../src/statistics/turnbull.ts'
import { type Adapter, type CaseReader, numbersOf } from './case-columns.ts'

const bandOf = (band: SurvivalBand) => ({
  lower: band.lower,
  upper: band.upper,
  median_lower: band.median.lower,
  median_upper: band.median.upper,
})

export const kaplanMeierCase: Adapter = (reader) => {
  // The end of the restricted mean is told nowhere but among the expected values.
  const curve = kaplanMeier(reader.numbers('time'), reader.numbers('event'), {
    level: reader.level,
    restrictedTo: Number(reader.expected.restricted_to),
  })
  return {
    n: curve.n,
    n_events: curve.events,
    time: curve.time,
    at_risk: curve.atRisk,
    events: curve.eventsAt,
    survival: curve.survival,
    greenwood_se: curve.standardError,
    median: curve.median,
    plain: bandOf(curve.plain),
    log: bandOf(curve.log),
    loglog: bandOf(curve.logLog),
    restricted_mean: curve.restrictedMean.estimate,
    restricted_to: curve.restrictedMean.restrictedTo,
  }
}

export const logRankCase: Adapter = (reader) => {
  const time = reader.numbers('time')
  const event = reader.numbers('event')
  const group = reader.texts('group')
  const groupOrder = reader.options.groups_in_order as readonly string[]
  const test = logRankTest(time, event, group, { groupOrder })
  const peto = logRankTest(time, event, group, { groupOrder, weights: 'Peto-Peto' })
  return {
    groups: test.groups.length,
    n: test.n,
    observed: test.observed,
    expected: test.expected,
    variance_first_group: test.variance[0]?.[0],
    chi2: test.chiSquare,
    df: test.df,
    p: test.p,
    peto_peto_chi2: peto.chiSquare,
    peto_peto_p: peto.p,
  }
}

export const turnbullCase: Adapter = (reader) => {
  const estimate = turnbull(reader.numbers('left'), reader.numbers('right'))
  const at = numbersOf(reader.expected.at)
  const survival = at.map((time) => turnbullSurvival(estimate, Number(time)))
  return {
    n: estimate.n,
    interval_left: estimate.intervals.map((interval) => interval.left),
    interval_right: estimate.intervals.map((interval) => interval.right),
    interval_is_exact_time: estimate.intervals.map((interval) => Number(interval.exact)),
    mass: estimate.intervals.map((interval) => interval.mass),
    cumulative: estimate.intervals.map((interval) => interval.cumulative),
    log_likelihood: estimate.logLikelihood,
    at: survival.map((point) => point.at),
    survival_at: survival.map((point) => point.survival),
    survival_at_lowest: survival.map((point) => point.lowest),
    survival_at_highest: survival.map((point) => point.highest),
    median_interval_left: estimate.median.left,
    median_interval_right: estimate.median.right,
  }
}

export const weibullCase: Adapter = (reader) => {
  const { left, right } = weibullTimes(reader)
  const fit = intervalCensoredWeibull(left, right, covariatesOf(reader), { level: reader.level })
  const named = fit.coefficients.map((c) => ({ ...c, name: c.name === '(Intercept)' ? 'intercept' : c.name }))
  const byName = (value: (c: (typeof named)[number]) => unknown, from = 0) =>
    Object.fromEntries(named.slice(from).map((c) => [c.name, value(c)]))
  return {
    n: fit.n,
    coefficients: byName((c) => c.estimate),
    se: byName((c) => c.standardError),
    log_scale: fit.logScale,
    se_log_scale: fit.standardErrorOfLogScale,
    scale: fit.scale,
    shape: fit.shape,
    log_likelihood: fit.logLikelihood,
    p_wald: byName((c) => c.p),
    hazard_ratio: byName((c) => c.hazardRatio?.estimate, 1),
    baseline_median: fit.baselineMedian.estimate,
    lrt_chi2: fit.likelihoodRatio?.chiSquare,
    lrt_df: fit.likelihoodRatio?.df,
    lrt_p: fit.likelihoodRatio?.p,
  }
}

/** Interval ends as given, or from time and event: events are exact times, censored rows end at infinity. */
function weibullTimes(reader: CaseReader) {
  if (reader.has('left')) return { left: reader.numbers('left'), right: reader.numbers('right') }
  const left = reader.numbers('time')
  const event = reader.numbers('event')
  return { left, right: left.map((time, i) => (event[i] === 1 ? time : Number.POSITIVE_INFINITY)) }
}

const TIMES = new Set(['left', 'right', 'time', 'event', 'where', 'predictor', 'predictors'])

/** Covariates are listed columns, other arrays of the input, or an indicator in words: "mp6 = 1 where treat is 6-MP". */
function covariatesOf(reader: CaseReader): Record<string, (number | null)[]> {
  const inWords = /^(\S+) = 1 where (\S+) is (.+)$/.exec(String(reader.columns?.predictor ?? ''))
  if (inWords !== null) {
    const [, name, column, value] = inWords
    return { [name!]: reader.column(column!).map((cell) => (cell === null ? null : Number(cell === value))) }
  }
  const listed = [reader.columns?.predictors ?? reader.input.predictors ?? []].flat()
  if (listed.length > 0)
    return Object.fromEntries(listed.map((name) => [String(name), reader.named(String(name))]))
  if (reader.columns !== undefined) return {}
  const arrays = Object.keys(reader.input).filter((key) => !TIMES.has(key))
  return Object.fromEntries(arrays.map((key) => [key, reader.numbers(key)]))
}
