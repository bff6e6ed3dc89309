import {
  adjustBenjaminiHochberg,
  adjustBonferroni,
  adjustHochberg,
  adjustHolm,
  blandAltman,
  clopperPearsonInterval,
  hodgesLehmann,
  intraclassCorrelations,
  type Kappa,
  type KappaWeights,
  kappa,
  matchedPairsRankBiserial,
  type PairedEffectSizes,
  pairedEffectSizes,
  pairedEffectSizesFromSummary,
  pairedTTest,
  poissonRate,
  poissonRateRatio,
  type SignedRanks,
  wilcoxonSignedRank,
  wilsonInterval,
} from '../../../src/statistics/index.ts'
import type { Adapter, CaseReader, Found } from './case-columns.ts'

const pair = (r: CaseReader): [(number | null)[], (number | null)[]] => [r.numbers('pre'), r.numbers('post')]

export const pairedTCase: Adapter = (r) => {
  const t = pairedTTest(...pair(r), { level: r.level })
  return {
    n_pairs: t.n,
    pairs_dropped: t.nDropped,
    mean_change: t.meanChange,
    sd_change: t.sdChange,
    se: t.standardError,
    t: t.t,
    df: t.df,
    p_two_sided: t.pTwoSided,
    p_greater: t.pGreater,
    p_less: t.pLess,
    ci_lower: t.interval.lower,
    ci_upper: t.interval.upper,
    mean_pre: t.meanBefore,
    mean_post: t.meanAfter,
    sd_pre: t.sdBefore,
    sd_post: t.sdAfter,
    correlation_pre_post: t.correlation,
  }
}

const ranks = (s: SignedRanks): Found => ({
  n_ranked: s.nRanked,
  w_plus: s.wPlus,
  w_minus: s.wMinus,
  p_two_sided_exact: s.pTwoSidedExact,
  p_greater_exact: s.pGreaterExact,
  p_less_exact: s.pLessExact,
  z: s.z,
  p_two_sided_asymptotic: s.pNormal,
  z_continuity: s.zContinuity,
  p_two_sided_asymptotic_continuity: s.pNormalContinuity,
})

export const wilcoxonCase: Adapter = (r) => {
  const [pre, post] = pair(r)
  const dropped = wilcoxonSignedRank(pre, post)
  const widest = hodgesLehmann(pre, post, { level: r.level })
  const all = hodgesLehmann(pre, post, { level: r.level, unreachable: 'unbounded' })
  const nonzero = hodgesLehmann(pre, post, { level: r.level, zeros: 'dropped', unreachable: 'unbounded' })
  return {
    ...ranks(dropped),
    n_pairs: dropped.n,
    pairs_dropped: dropped.nDropped,
    n_zero: dropped.nZero,
    zeros_dropped: ranks(dropped),
    pratt: ranks(wilcoxonSignedRank(pre, post, { zeros: 'pratt' })),
    z_no_continuity: dropped.z,
    hodges_lehmann: widest.estimate,
    hl_ci_lower: widest.interval.lower,
    hl_ci_upper: widest.interval.upper,
    hl_ci_achieved_level: widest.achievedLevel,
    hodges_lehmann_all: all.estimate,
    walsh_ci_lower_all: all.interval.lower,
    walsh_ci_upper_all: all.interval.upper,
    hodges_lehmann_nonzero: nonzero.estimate,
    walsh_ci_lower_nonzero: nonzero.interval.lower,
    walsh_ci_upper_nonzero: nonzero.interval.upper,
  }
}

const paired = (e: PairedEffectSizes): Found => ({
  n_pairs: e.n,
  pairs_dropped: e.nDropped,
  mean_change: e.meanChange,
  sd_change: e.sdChange,
  r: e.correlation,
  d_z: e.dZ,
  d_z_ci_lower: e.dZInterval.lower,
  d_z_ci_upper: e.dZInterval.upper,
  J_exact: e.correction,
  J_approx: e.correctionApproximate,
  g_z_exact: e.hedgesG,
  g_z_approx: e.hedgesGApproximate,
  g_z_exact_ci_lower: e.hedgesGInterval.lower,
  g_z_exact_ci_upper: e.hedgesGInterval.upper,
  d_rm: e.dRm,
  g_rm_exact: e.gRm,
  g_rm_approx: e.gRmApproximate,
  var_d_rm: e.dRmVariance,
  se_d_rm: e.dRmVariance === null ? null : Math.sqrt(e.dRmVariance),
  var_g_rm_approx: e.gRmApproximateVariance,
  se_g_rm_approx: e.gRmApproximateVariance === null ? null : Math.sqrt(e.gRmApproximateVariance),
  d_rm_normal_ci_lower: e.dRmInterval.lower,
  d_rm_normal_ci_upper: e.dRmInterval.upper,
  probability_of_superiority_normal: e.probabilityOfSuperiority,
  d_av: e.dAv,
  g_av_exact: e.gAv,
  d_av_rms: e.dAvRms,
  d_av_rms_ci_lower: e.dAvRmsInterval.lower,
  d_av_rms_ci_upper: e.dAvRmsInterval.upper,
  d_pre: e.dBefore,
  g_pre_exact: e.gBefore,
})

export const pairedEffectCase: Adapter = (r) => {
  if (r.has('pre')) return paired(pairedEffectSizes(...pair(r), { level: r.level }))
  const { mean_change, sd_change, r: correlation, n } = r.input as Record<string, number>
  return paired(
    pairedEffectSizesFromSummary(
      { n: n!, meanChange: mean_change!, sdChange: sd_change!, correlation: correlation! },
      { level: r.level },
    ),
  )
}

export const rankBiserialCase: Adapter = (r) => {
  const b = matchedPairsRankBiserial(...pair(r), { level: r.level })
  return {
    n_pairs: b.n,
    pairs_dropped: b.nDropped,
    n_zero: b.nZero,
    w_plus: b.wPlus,
    w_minus: b.wMinus,
    rank_biserial: b.estimate,
    ci_fisher_z_lower: b.interval.lower,
    ci_fisher_z_upper: b.interval.upper,
    probability_of_improvement: b.probabilityOfImprovement,
    sign_difference: b.signDifference,
  }
}

const count = (r: CaseReader, field: string): number => Number(r.input[field])

export const proportionCase: Adapter = (r) => {
  const at = [count(r, 'events'), count(r, 'n')] as const
  const wilson = wilsonInterval(...at, { level: r.level })
  const corrected = wilsonInterval(...at, { level: r.level, continuity: true })
  const exact = clopperPearsonInterval(...at, { level: r.level })
  return {
    proportion: wilson.estimate,
    wilson_lower: wilson.interval.lower,
    wilson_upper: wilson.interval.upper,
    wilson_continuity_lower: corrected.interval.lower,
    wilson_continuity_upper: corrected.interval.upper,
    clopper_pearson_lower: exact.interval.lower,
    clopper_pearson_upper: exact.interval.upper,
  }
}

export const poissonRateCase: Adapter = (r) => {
  const rate = poissonRate(count(r, 'events'), count(r, 'time'), { level: r.level })
  return { rate: rate.estimate, exact_lower: rate.interval.lower, exact_upper: rate.interval.upper }
}

export const rateRatioCase: Adapter = (r) => {
  const group = (name: string) => {
    const { events, time } = r.input[name] as { events: number; time: number }
    return { events, exposure: time }
  }
  const ratio = poissonRateRatio(group('group1'), group('group2'), { level: r.level })
  return {
    rate1: ratio.firstRate,
    rate2: ratio.secondRate,
    rate_ratio: ratio.estimate,
    exact_lower: ratio.interval.lower,
    exact_upper: ratio.interval.upper,
    p_two_sided_minimum_likelihood: ratio.pMinimumLikelihood,
    p_two_sided_doubled_tail: ratio.pDoubledTail,
  }
}

/** Ratings by subject, from an inline table or the rater columns of a csv. */
export function ratingsOf(r: CaseReader): (number | null)[][] {
  if (r.columns === undefined) return r.input.ratings as (number | null)[][]
  const raters = (r.columns.raters as string[]).map((name) => r.named(name))
  return raters[0]!.map((_, i) => raters.map((column) => column[i]!))
}

export const iccCase: Adapter = (r) => {
  const c = intraclassCorrelations(ratingsOf(r), { level: r.level })
  const forms = {
    icc_1_1: c.icc11,
    icc_2_1: c.icc21,
    icc_3_1: c.icc31,
    icc_1_k: c.icc1k,
    icc_2_k: c.icc2k,
    icc_3_k: c.icc3k,
  }
  return {
    n_subjects: c.nSubjects,
    n_raters: c.nRaters,
    subjects_dropped: c.nDropped,
    ms_between: c.meanSquareBetween,
    ms_within: c.meanSquareWithin,
    ms_raters: c.meanSquareRaters,
    ms_residual: c.meanSquareResidual,
    f_1: c.f1,
    f_3: c.f3,
    p_1: c.p1,
    p_3: c.p3,
    ...Object.fromEntries(
      Object.entries(forms).flatMap(([name, { estimate, interval }]) => [
        [name, estimate],
        [`${name}_lower`, interval.lower],
        [`${name}_upper`, interval.upper],
      ]),
    ),
  }
}

const kappaFound = (k: Kappa): Found => ({
  observed: k.observed,
  expected_by_chance: k.expected,
  kappa: k.estimate,
  se: k.standardError,
  se_null: k.standardErrorNull,
  ci_lower: k.interval.lower,
  ci_upper: k.interval.upper,
  z: k.z,
})

export const kappaCase: Adapter = (r) => {
  const table = r.input.table as number[][]
  const of = (weights: KappaWeights) => kappa(table, weights, { level: r.level })
  return {
    n: of('unweighted').n,
    unweighted: kappaFound(of('unweighted')),
    linear: kappaFound(of('linear')),
    quadratic: kappaFound(of('quadratic')),
  }
}

export const blandAltmanCase: Adapter = (r) => {
  const b = blandAltman(r.numbers('first'), r.numbers('second'), { level: r.level })
  return {
    n: b.n,
    pairs_dropped: b.nDropped,
    bias: b.bias,
    sd_difference: b.sdDifference,
    loa_lower: b.lowerLimit,
    loa_upper: b.upperLimit,
    loa2_lower: b.bias - 2 * b.sdDifference,
    loa2_upper: b.bias + 2 * b.sdDifference,
    se_bias: b.biasStandardError,
    bias_ci_lower: b.biasInterval.lower,
    bias_ci_upper: b.biasInterval.upper,
    se_loa_1986: b.limitStandardError1986,
    se_loa: b.limitStandardError,
    loa_lower_ci_lower: b.lowerLimitInterval.lower,
    loa_lower_ci_upper: b.lowerLimitInterval.upper,
    loa_upper_ci_lower: b.upperLimitInterval.lower,
    loa_upper_ci_upper: b.upperLimitInterval.upper,
    exact_loa_lower_ci_lower: b.lowerLimitExactInterval.lower,
    exact_loa_lower_ci_upper: b.lowerLimitExactInterval.upper,
    exact_loa_upper_ci_lower: b.upperLimitExactInterval.lower,
    exact_loa_upper_ci_upper: b.upperLimitExactInterval.upper,
    slope_on_mean: b.slopeOnMean,
    slope_p: b.slopeP,
    repeatability_coefficient: b.repeatabilityCoefficient,
  }
}

const atMost = (p: readonly (number | null)[]): number => p.filter((x) => x !== null && x <= 0.05).length

export const multipleTestingCase: Adapter = (r) => {
  const p = r.numbers('p')
  const tests = Number(r.options.tests ?? p.filter((x) => x !== null).length)
  const holm = adjustHolm(p, { tests })
  const bh = adjustBenjaminiHochberg(p, { tests })
  const bonferroni = adjustBonferroni(p, { tests })
  return {
    tests,
    holm,
    benjamini_hochberg: bh,
    bonferroni,
    hochberg: adjustHochberg(p, { tests }),
    'rejected_holm_0.05': atMost(holm),
    'rejected_bh_0.05': atMost(bh),
    'rejected_bonferroni_0.05': atMost(bonferroni),
  }
}
