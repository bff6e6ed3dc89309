import binomial from '@stdlib/stats-base-dists-binomial'
import normal from '@stdlib/stats-base-dists-normal'
import {
  binomialFunnelLimits,
  changeNetOfRegression,
  cliffsDelta,
  clinicalCutoffs,
  dailyCoverage,
  describe,
  disclosureRisk,
  type IndependentEffectSizes,
  independentEffectSizes,
  independentEffectSizesFromSummary,
  individualsChart,
  mannWhitneyTest,
  mcNemarTest,
  measurementError,
  pairedTTest,
  regressionToTheMean,
  reliableChange,
  reliableChangeTable,
  sideRatioOf,
  signTest,
  smallestDetectableChange,
  supplyCoverage,
  twoByTwo,
  wilsonInterval,
} from '../../../src/statistics/index.ts'
import { binomialUpperTail } from '../../../src/statistics/poisson-rate.ts'
import { ratingsOf } from './basic.ts'
import type { Adapter, CaseReader, Found } from './case-columns.ts'

export const descriptivesCase: Adapter = (r) => {
  const d = describe(r.numbers('x'))
  const probabilities = r.options.quantile_probabilities as number[]
  const quantiles = (type: 7 | 8): Found =>
    Object.fromEntries(probabilities.map((p) => [String(p), d.quantile(p, type)]))
  const spread = (p: number): number => d.quantile(p)!
  return {
    n: d.n,
    missing: d.nDropped,
    mean: d.mean,
    sd: d.sd,
    variance: d.variance,
    se_mean: d.standardError,
    min: d.minimum,
    max: d.maximum,
    median: d.median,
    quantile_type7: quantiles(7),
    quantile_type8: quantiles(8),
    iqr_type7: spread(0.75) - spread(0.25),
    mad_raw: d.mad,
    'mad_times_1.4826': d.madScaled,
    'mad_over_qnorm_0.75': d.madOverQuantile,
    skew_g1: d.skewG1,
    skew_G1_adjusted: d.skewAdjusted,
    skew_b1: d.skewB1,
  }
}

export const signTestCase: Adapter = (r) => {
  const s = signTest(r.numbers('pre'), r.numbers('post'), { level: r.level })
  return {
    n_pairs: s.n,
    pairs_dropped: s.nDropped,
    n_positive: s.nPositive,
    n_negative: s.nNegative,
    n_zero: s.nZero,
    p_two_sided_exact: s.pTwoSided,
    p_greater_exact: s.pGreater,
    p_less_exact: s.pLess,
    median_change: s.medianChange,
    median_ci_lower: s.interval.lower,
    median_ci_upper: s.interval.upper,
    median_ci_achieved_level: s.achievedLevel,
  }
}

export const mcNemarCase: Adapter = (r) => {
  const m = mcNemarTest(r.input.table as [[number, number], [number, number]], { level: r.level })
  return {
    n: m.n,
    yes_yes: m.yesYes,
    yes_no: m.yesNo,
    no_yes: m.noYes,
    no_no: m.noNo,
    p_exact: m.pExact,
    p_mid: m.pMid,
    chi2: m.chiSquare,
    p_chi2: m.pChiSquare,
    chi2_continuity: m.chiSquareContinuity,
    p_chi2_continuity: m.pChiSquareContinuity,
    odds_ratio_yes_no_over_no_yes: m.oddsRatio,
    odds_ratio_ci_lower: m.oddsRatioInterval.lower,
    odds_ratio_ci_upper: m.oddsRatioInterval.upper,
    difference_before_minus_after: m.difference,
    newcombe_method10_lower: m.differenceInterval.lower,
    newcombe_method10_upper: m.differenceInterval.upper,
    newcombe_method8_lower: m.differenceIntervalMethod8.lower,
    newcombe_method8_upper: m.differenceIntervalMethod8.upper,
  }
}

/** Two groups of values: inline, or by group labels of a csv. */
function groups(r: CaseReader): [(number | null)[], (number | null)[]] {
  if (!r.has('group')) return [r.numbers('group1'), r.numbers('group2')]
  const value = r.numbers('value')
  const group = r.texts('group')
  const of = (role: string): (number | null)[] =>
    value.filter((_, i) => group[i] === String(r.columns?.[role]))
  return [of('group1'), of('group2')]
}

const root = (x: number | null): number | null => (x === null ? null : Math.sqrt(x))

const independent = (e: IndependentEffectSizes): Found => ({
  n1: e.first.n,
  n2: e.second.n,
  mean1: e.first.mean,
  mean2: e.second.mean,
  sd1: e.first.sd,
  sd2: e.second.sd,
  mean_difference: e.meanDifference,
  sd_pooled: e.sdPooled,
  df: e.df,
  cohens_d: e.cohensD,
  d_ci_lower: e.cohensDInterval.lower,
  d_ci_upper: e.cohensDInterval.upper,
  J_exact: e.correction,
  hedges_g_exact: e.hedgesG,
  g_exact_ci_lower: e.hedgesGInterval.lower,
  g_exact_ci_upper: e.hedgesGInterval.upper,
  J_approx: e.correctionApproximate,
  hedges_g_approx: e.hedgesGApproximate,
  var_d: e.cohensDVariance,
  se_d: root(e.cohensDVariance),
  var_g_approx: e.hedgesGApproximateVariance,
  se_g_approx: root(e.hedgesGApproximateVariance),
  d_normal_ci_lower: e.cohensDNormalInterval.lower,
  d_normal_ci_upper: e.cohensDNormalInterval.upper,
  var_g_exact_metafor: e.hedgesGVariance,
  d_average_variance: e.dAverageVariance,
  glass_delta: e.glassDelta,
  glass_ci_lower: e.glassDeltaInterval.lower,
  glass_ci_upper: e.glassDeltaInterval.upper,
  glass_delta_bias_corrected: e.glassDeltaCorrected,
  probability_of_superiority_normal: e.probabilityOfSuperiority,
})

type Summary = { mean: number; sd: number; n: number }

export const independentEffectCase: Adapter = (r) => {
  const first = r.input.group1 as Summary | undefined
  if (first && !Array.isArray(first) && typeof first === 'object')
    return independent(
      independentEffectSizesFromSummary(first, r.input.group2 as Summary, { level: r.level }),
    )
  return independent(independentEffectSizes(...groups(r), { level: r.level }))
}

export const dominanceCase: Adapter = (r) => {
  const [x, y] = groups(r)
  const d = cliffsDelta(x, y, { level: r.level })
  // The reference counts by how much group 1 lies above group 2.
  const exact = mannWhitneyTest(y, x, { exactUpTo: 200 })
  const asymptotic = mannWhitneyTest(y, x, { exactUpTo: 0 })
  return {
    n1: d.nFirst,
    n2: d.nSecond,
    greater: d.greater,
    equal: d.equal,
    less: d.less,
    cliffs_delta: d.estimate,
    probability_of_superiority: d.probabilityOfSuperiority,
    var_unbiased: d.varianceUnbiased,
    var_unbiased_floored: d.varianceUnbiasedFloored,
    var_consistent: d.varianceConsistent,
    var_delong: d.varianceDeLong,
    ci_consistent_lower: d.interval.lower,
    ci_consistent_upper: d.interval.upper,
    ci_unbiased_lower: d.intervalUnbiased.lower,
    ci_unbiased_upper: d.intervalUnbiased.upper,
    ci_fisher_z_lower: d.intervalFisherZ.lower,
    ci_fisher_z_upper: d.intervalFisherZ.upper,
    ps_delong_ci_lower: d.probabilityOfSuperiorityInterval.lower,
    ps_delong_ci_upper: d.probabilityOfSuperiorityInterval.upper,
    mann_whitney_u: asymptotic.u,
    mann_whitney_z: asymptotic.z,
    mann_whitney_p_asymptotic: asymptotic.p,
    mann_whitney_p_exact: exact.p,
  }
}

export const twoByTwoCase: Adapter = (r) => {
  type Group = { events: number; n: number }
  const t = twoByTwo(r.input.group1 as Group, r.input.group2 as Group, { level: r.level })
  return {
    log_odds_ratio: t.logOddsRatio,
    var_log_odds_ratio: t.logOddsRatioVariance,
    se_log_odds_ratio: Math.sqrt(t.logOddsRatioVariance),
    odds_ratio: t.oddsRatio,
    odds_ratio_ci_lower: t.oddsRatioInterval.lower,
    odds_ratio_ci_upper: t.oddsRatioInterval.upper,
    log_risk_ratio: t.logRiskRatio,
    var_log_risk_ratio: t.logRiskRatioVariance,
    risk_ratio: t.riskRatio,
    risk_difference: t.riskDifference,
    var_risk_difference: t.riskDifferenceVariance,
    rd_wald_ci_lower: t.riskDifferenceWaldInterval.lower,
    rd_wald_ci_upper: t.riskDifferenceWaldInterval.upper,
    rd_newcombe_ci_lower: t.riskDifferenceInterval.lower,
    rd_newcombe_ci_upper: t.riskDifferenceInterval.upper,
    fisher_p: t.fisherP,
  }
}

type MeanSd = { mean: number; sd: number }

export const reliableChangeCase: Adapter = (r) => {
  if (r.columns?.raters !== undefined || r.input.ratings !== undefined) return measurementErrorFound(r)
  const { options } = r
  const higherIsBetter = Boolean(options.higher_is_better)
  if (options.cutoff !== undefined) {
    const table = reliableChangeTable(r.numbers('pre'), r.numbers('post'), {
      sd: Number(options.sd),
      reliability: Number(options.reliability),
      cutoff: Number(options.cutoff),
      higherIsBetter,
    })
    return {
      n: table.n,
      s_diff: table.standardErrorOfDifference,
      recovered: table.recovered,
      improved: table.improved,
      unchanged: table.unchanged,
      deteriorated: table.deteriorated,
      mean_rci: describe(table.indices).mean,
      max_rci: Math.max(...table.indices),
      min_rci: Math.min(...table.indices),
    }
  }
  const { pre, post, sd, reliability } = r.input as Record<string, number>
  const change = reliableChange(pre!, post!, sd!, reliability!)
  const clinical = r.input.clinical as MeanSd | null
  const cutoffs =
    clinical && clinicalCutoffs(clinical, r.input.functional as MeanSd | null, { higherIsBetter })
  return {
    sem: change.standardErrorOfMeasurement,
    s_diff: change.standardErrorOfDifference,
    reliable_change_index: change.index,
    reliable: Number(change.reliable),
    mdc95: change.smallestDetectableChange95,
    mdc90: change.smallestDetectableChange90,
    cutoff_a: cutoffs?.a,
    cutoff_b: cutoffs?.b,
    cutoff_c: cutoffs?.c,
  }
}

function measurementErrorFound(r: CaseReader): Found {
  const e = measurementError(ratingsOf(r))
  return {
    n: e.nSubjects,
    k: e.nRaters,
    icc_2_1: e.icc21,
    icc_3_1: e.icc31,
    sem_consistency: e.consistency,
    sem_agreement: e.agreement,
    sd_total: e.sdTotal,
    sem_from_icc21_and_total_sd: e.fromIcc21,
    sem_from_sd_of_differences: e.fromDifferences,
    mdc95_consistency: smallestDetectableChange(e.consistency),
    mdc95_agreement: smallestDetectableChange(e.agreement),
  }
}

export const regressionToTheMeanCase: Adapter = (r) => {
  if (!r.has('pre')) {
    const { mean, sd, correlation, cutoff, baseline_measurements } = r.input as Record<string, number>
    const e = regressionToTheMean({
      mean: mean!,
      sd: sd!,
      correlation: correlation!,
      cutoff: cutoff!,
      selected: r.input.selected as 'above' | 'below',
      baselineMeasurements: baseline_measurements ?? 1,
    })
    return {
      z: e.z,
      inverse_mills: e.inverseMills,
      expected_effect: e.expectedEffect,
      mean_selected: e.meanSelected,
      expected_follow_up: e.expectedFollowUp,
    }
  }
  const c = changeNetOfRegression(r.numbers('pre'), r.numbers('post'), Number(r.options.population_mean))
  const paired = pairedTTest(r.numbers('pre'), r.numbers('post'))
  return {
    n: c.n,
    intercept: c.intercept,
    se_intercept: c.interceptStandardError,
    slope: c.slope,
    se_slope: c.slopeStandardError,
    change_net_of_regression: c.change,
    t: c.t,
    df: c.df,
    p_greater: c.pGreater,
    p_two_sided: c.pTwoSided,
    paired_t: paired.t,
    paired_p_two_sided: paired.pTwoSided,
    t_slope_against_1: c.slopeT,
    slope_p_against_1: c.slopeP,
    p_slope_against_1_two_sided: c.slopeP,
    correlation: c.correlation,
    expected_follow_up_mean_without_effect: c.expectedMeanWithoutEffect,
  }
}

export const controlChartCase: Adapter = (r) => (r.options.chart === 'XmR' ? xmr(r) : proportionChart(r))

function xmr(r: CaseReader): Found {
  const c = individualsChart(r.numbers('x'))
  return {
    n: c.n,
    mean: c.centre,
    mean_moving_range: c.meanMovingRange,
    median_moving_range: c.medianMovingRange,
    'lower_2.66': c.limits.lower,
    'upper_2.66': c.limits.upper,
    'range_upper_3.268': c.rangeUpper,
    'sigma_1.128': c.sigmaTable,
    'lower_1.128': c.limitsTable.lower,
    'upper_1.128': c.limitsTable.upper,
    sigma_exact_d2: c.sigmaExact,
    lower_exact_d2: c.limitsExact.lower,
    upper_exact_d2: c.limitsExact.upper,
    'lower_median_3.145': c.limitsMedian.lower,
    'upper_median_3.145': c.limitsMedian.upper,
    'beyond_2.66': c.beyond,
  }
}

function proportionChart(r: CaseReader): Found {
  const events = r.numbers('events') as number[]
  const n = r.numbers('n') as number[]
  const total = (xs: readonly number[]): number => xs.reduce((a, b) => a + b, 0)
  const centre = typeof r.options.centre === 'number' ? r.options.centre : total(events) / total(n)
  const tails = [normal.cdf(-3, 0, 1), normal.cdf(3, 0, 1)] as const
  const three = n.map((size) => binomialFunnelLimits(size, centre, tails[1] - tails[0], tails))
  const two = n.map((size) => binomialFunnelLimits(size, centre, 0.95, [0.025, 0.975]))
  const shares = events.map((x, i) => wilsonInterval(x, n[i]!).estimate)
  const sigma = n.map((size) => Math.sqrt((centre * (1 - centre)) / size))
  return {
    centre,
    proportion: shares,
    lower_3sigma: sigma.map((s) => Math.max(0, centre - 3 * s)),
    upper_3sigma: sigma.map((s) => Math.min(1, centre + 3 * s)),
    z: shares.map((p, i) => (p - centre) / sigma[i]!),
    exact_lower_step: three.map((l) => l.lowerStep),
    exact_upper_step: three.map((l) => l.upperStep),
    exact_lower_interpolated: three.map((l) => l.lower),
    exact_upper_interpolated: three.map((l) => l.upper),
    exact95_lower_interpolated: two.map((l) => l.lower),
    exact95_upper_interpolated: two.map((l) => l.upper),
    exact_p_lower_tail: events.map((x, i) => binomial.cdf(x, n[i]!, centre)),
    exact_p_upper_tail: events.map((x, i) => binomialUpperTail(x, n[i]!, centre)),
    beyond_3sigma: shares.flatMap((p, i) => (Math.abs(p - centre) > 3 * sigma[i]! ? [i + 1] : [])),
  }
}

const DAY = 86_400_000

export const adherenceCase: Adapter = (r) => {
  if (r.input.fills !== undefined) return supplies(r)
  if (r.input.amount !== undefined) return doseRatio(r)
  const start = Date.parse(String(r.input.start)) / DAY
  const days = Date.parse(String(r.input.end)) / DAY - start + 1
  const counts = new Float64Array(days)
  const { date, count } = r.input.sessions as { date: string | string[]; count: number | number[] }
  const each = [count].flat()
  ;[date].flat().forEach((text, i) => {
    const at = Date.parse(text) / DAY - start
    if (at >= 0 && at < days) counts[at]! += each[i]!
  })
  const c = dailyCoverage(counts, Number(r.input.prescribed_per_day), {
    gapDays: Number(r.options.gap_days ?? 14),
  })
  return {
    days: c.days,
    days_with_any: c.daysWithAny,
    proportion_days_any: c.daysWithAny / c.days,
    days_in_full: c.daysInFull,
    proportion_days_in_full: c.daysInFull / c.days,
    sessions_done: c.done,
    sessions_prescribed: c.prescribed,
    crude_ratio: c.crudeRatio,
    capped_ratio: c.cappedRatio,
    longest_gap: c.longestGap,
    longest_inner_gap: c.longestInnerGap,
    gap_event: Number(c.firstGap !== null),
    days_before_gap: c.firstGap === null ? c.days : c.firstGap.startsOnDay - 1,
    gap_complete_on_day: c.firstGap === null ? null : c.firstGap.completeOnDay,
    gap_starts_on:
      c.firstGap === null
        ? null
        : new Date((start + c.firstGap.startsOnDay - 1) * DAY).toISOString().slice(0, 10),
  }
}

function supplies(r: CaseReader): Found {
  const { day, supply } = r.input.fills as { day: number | number[]; supply: number | number[] }
  const length = [supply].flat()
  const c = supplyCoverage(
    [day].flat().map((d, i) => ({ day: d, days: length[i]! })),
    { from: Number(r.input.start), to: Number(r.input.end) },
  )
  return {
    days: c.days,
    days_supplied: c.daysSupplied,
    medication_possession_ratio: c.possessionRatio,
    medication_possession_ratio_capped: Math.min(1, c.possessionRatio),
    days_covered_no_carry: c.daysCovered,
    pdc_no_carry: c.daysCovered / c.days,
    days_covered_carry: c.daysCoveredCarried,
    pdc_carry: c.daysCoveredCarried / c.days,
  }
}

function doseRatio(r: CaseReader): Found {
  const side = r.texts('side')
  const amount = r.numbers('amount') as number[]
  const weight = r.numbers('weight') as number[]
  const sum = (of: string, weighted: boolean): number =>
    amount.reduce((total, a, i) => (side[i] === of ? total + a * (weighted ? weight[i]! : 1) : total), 0)
  const left = sum('left', true)
  const right = sum('right', true)
  return {
    left,
    right,
    ratio_left_to_right: sideRatioOf(left, right),
    log_ratio: left > 0 && right > 0 ? Math.log(left / right) : null,
    share_left: left + right > 0 ? left / (left + right) : null,
    unweighted_ratio: sideRatioOf(sum('left', false), sum('right', false)),
  }
}

export const disclosureCase: Adapter = (r) => {
  const quasi =
    (r.options.quasi_identifiers as string | string[] | undefined) ?? (r.columns?.quasi as string[])
  const columns = [quasi].flat().map((name) => r.column(name))
  const d = disclosureRisk(
    columns[0]!.map((_, i) => columns.map((c) => c[i]!)),
    r.column(String(r.options.sensitive ?? r.columns?.sensitive)),
  )
  return {
    rows: d.rows,
    classes: d.classes,
    k: d.k,
    largest_class: d.largestClass,
    sample_uniques: d.sampleUniques,
    rows_below_3: d.rowsBelow(3),
    rows_below_5: d.rowsBelow(5),
    prosecutor_risk_max: d.prosecutorRiskMax,
    prosecutor_risk_mean: d.prosecutorRiskMean,
    expected_reidentifications: d.expectedReidentifications,
    'share_of_rows_risk_above_0.2': d.shareAboveOneFifth,
    l_distinct: d.lDistinct,
    l_entropy: d.lEntropy,
    entropy_min: d.entropyMin,
    t_closeness_equal_distance: d.tCloseness,
    class_sizes_sorted: d.classSizes,
  }
}
