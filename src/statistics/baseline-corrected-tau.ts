import { denseCodes, reversedCodes } from './dense-codes.ts'
import { type Kendall, kendall, kendallOfCodes } from './kendall.ts'
import type { Improvement } from './non-overlap-of-all-pairs.ts'
import type { Maybe } from './shared.ts'
import { CannotEstimate } from './shared.ts'
import { type PhaseOptions, readPhases } from './tau-u.ts'
import { theilSen } from './theil-sen.ts'

export interface BaselineCorrectedTau {
  readonly method: 'baseline-corrected tau'
  readonly improvement: Improvement
  readonly nA: number
  readonly nB: number
  readonly nDropped: number
  /** Theil-Sen line of the baseline, intercept from the medians. */
  readonly baselineSlope: number
  readonly baselineIntercept: number
  /** Kendall's test of a trend within the baseline, turned so that up is better. */
  readonly baselineTrend: Kendall
  /** Tau-b of the residuals from that line with the phase; null where all residuals tie. */
  readonly tauB: number | null
  readonly kendallWithPhase: Kendall
}

/**
 * Baseline-corrected tau: Kendall's tau-b between phase and what is left of the scores when the baseline's Theil-Sen line, drawn on through
 * both phases, is taken away.
 *
 * Missing occasions as in tauU. The correction is always made; Tarlow makes it only where the baseline's own trend is significant: look at
 * `baselineTrend`. A line drawn from few baseline points far into B is a bold extrapolation, and scores with a floor bend away from it.
 *
 * Source: Tarlow (2017) Behavior Modification 41:427-467.
 *
 * @throws CannotEstimate for fewer than 3 occasions in A or none in B.
 */
export function baselineCorrectedTau(
  phaseA: ArrayLike<Maybe>,
  phaseB: ArrayLike<Maybe>,
  options: PhaseOptions = {},
): BaselineCorrectedTau {
  const improvement = options.improvement ?? 'increase'
  const sign = improvement === 'increase' ? 1 : -1
  const phases = readPhases('baselineCorrectedTau', phaseA, phaseB, options)
  const nA = phases.a.length
  if (nA < 3) throw new CannotEstimate('baselineCorrectedTau', 'three occasions in phase A', String(nA))
  const line = theilSen(phases.timesA, phases.a)
  const scores = [...phases.a, ...phases.b]
  const times = [...phases.timesA, ...phases.timesB]
  const residuals = scores.map((score, i) => score - line.interceptFromMedians - line.slope * times[i]!)
  // Rounding error is as large as the terms that were subtracted, not as what is left.
  const scale = Math.max(...scores.map(Math.abs), ...times.map((time) => Math.abs(line.slope * time)))
  const rising = denseCodes(residuals, scale)
  const codes = sign > 0 ? rising : reversedCodes(rising)
  const phase = Int32Array.from(codes, (_, i) => Number(i >= nA))
  const withPhase = kendallOfCodes(phase, codes, phases.dropped)
  return {
    method: 'baseline-corrected tau',
    improvement,
    nA,
    nB: phases.b.length,
    nDropped: phases.dropped,
    baselineSlope: line.slope,
    baselineIntercept: line.interceptFromMedians,
    baselineTrend: kendall(
      phases.timesA,
      phases.a.map((score) => sign * score),
    ),
    tauB: withPhase.tauB,
    kendallWithPhase: withPhase,
  }
}
