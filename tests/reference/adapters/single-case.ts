import {
  baselineCorrectedTau,
  type Improvement,
  nonOverlapOfAllPairs,
  type PhaseOptions,
  tauU,
  theilSen,
} from '../../../src/statistics/index.ts'
import type { Adapter, CaseReader } from './case-columns.ts'

type Values = (number | null)[]

export const kendallTheilSenCase: Adapter = (reader) => {
  const line = theilSen(reader.numbers('x'), reader.numbers('y'), { level: reader.level, exactUpTo: 1000 })
  const tau = line.kendall
  return {
    n: tau.n,
    S: tau.s,
    concordant: tau.concordant,
    discordant: tau.discordant,
    tied: tau.tied,
    tau_a: tau.tauA,
    tau_b: tau.tauB,
    var_s: tau.varianceOfS,
    z: tau.z,
    p_normal: tau.pNormal,
    z_continuity: tau.zContinuity,
    p_normal_continuity: tau.pNormalContinuity,
    p_exact: tau.pExact,
    theil_sen_slope: line.slope,
    theil_sen_intercept_from_medians: line.interceptFromMedians,
    theil_sen_intercept_median_residual: line.interceptMedianResidual,
    theil_sen_ci_lower: line.interval.lower,
    theil_sen_ci_upper: line.interval.upper,
  }
}

export const singleCaseCase: Adapter = (reader) => {
  const improvement = String(reader.options.improvement) as Improvement
  const { a, b, times } = phasesOf(reader)
  const options: PhaseOptions = { improvement, ...times }
  const overlap = nonOverlapOfAllPairs(a, b, { improvement, level: reader.level })
  const tau = tauU(a, b, options)
  // Below three baseline occasions the reference gives no corrected figures.
  const corrected = overlap.nA > 2 ? baselineCorrectedTau(a, b, options) : null
  return {
    n_a: overlap.nA,
    n_b: overlap.nB,
    occasions_dropped: overlap.nDropped,
    pairs: overlap.pairs,
    pairs_better: overlap.pairsBetter,
    pairs_tied: overlap.pairsTied,
    pairs_worse: overlap.pairsWorse,
    nap: overlap.nap,
    tau: overlap.tau,
    se_tau_no_ties: overlap.standardErrorOfTauNoTies,
    z_tau_no_ties: overlap.zOfTauNoTies,
    p_mann_whitney: overlap.p,
    tau_b_phase: tau.kendallWithPhase.tauB,
    s_a: tau.sTrendA,
    s_b: tau.sTrendB,
    tau_a_trend: tau.tauTrendA,
    tau_b_trend: tau.tauTrendB,
    tau_u_minus_trend_a_over_na_nb: tau.minusTrendAOverBetweenPairs,
    tau_u_minus_trend_a_over_pairs: tau.minusTrendAOverOwnPairs,
    tau_u_plus_b_minus_a_over_pairs: tau.plusTrendBMinusTrendAOverAllPairs,
    pnd: overlap.nonOverlappingShare,
    baseline_theil_sen_slope: corrected?.baselineSlope ?? null,
    baseline_theil_sen_intercept: corrected?.baselineIntercept ?? null,
    baseline_trend_p_normal_continuity: corrected?.baselineTrend.pNormalContinuity ?? null,
    baseline_corrected_tau_b: corrected?.tauB ?? null,
    baseline_corrected_p_normal_continuity: corrected?.kendallWithPhase.pNormalContinuity ?? null,
    mean_difference: overlap.meanDifference,
    median_difference: overlap.medianDifference,
  }
}

/** Phases as arrays, or rows of a csv told apart by conditions such as "Days <= 2". */
function phasesOf(reader: CaseReader): {
  readonly a: Values
  readonly b: Values
  readonly times: { readonly timesA: Values; readonly timesB: Values } | object
} {
  if (reader.columns === undefined) {
    const times = reader.has('times_a')
      ? { timesA: reader.numbers('times_a'), timesB: reader.numbers('times_b') }
      : {}
    return { a: reader.numbers('phase_a'), b: reader.numbers('phase_b'), times }
  }
  const value = reader.numbers('value')
  const time = reader.has('time') ? reader.numbers('time') : null
  const inA = condition(reader, String(reader.columns.phase_a))
  const inB = condition(reader, String(reader.columns.phase_b))
  const pick = (values: Values, chosen: readonly boolean[]) => values.filter((_, i) => chosen[i])
  const times = time === null ? {} : { timesA: pick(time, inA), timesB: pick(time, inB) }
  return { a: pick(value, inA), b: pick(value, inB), times }
}

const COMPARE: Record<string, (a: number, b: number) => boolean> = {
  '<=': (a, b) => a <= b,
  '>=': (a, b) => a >= b,
  '<': (a, b) => a < b,
  '>': (a, b) => a > b,
}

function condition(reader: CaseReader, words: string): boolean[] {
  const [, column, sign, bound] = /^(.+?)\s*(<=|>=|==|=|<|>)\s*(.+)$/.exec(words) ?? []
  if (column === undefined) throw new Error(`unreadable condition: ${words}`)
  const compare = COMPARE[sign!]
  return reader
    .column(column)
    .map((cell) =>
      compare ? compare(Number(cell), Number(bound)) : cell === bound!.replace(/^["']|["']$/g, ''),
    )
}
