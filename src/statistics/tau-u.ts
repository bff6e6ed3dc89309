import { denseCodes, reversedCodes } from './dense-codes.ts'
import { type Kendall, kendallOfCodes } from './kendall.ts'
import { comparePhases, type Improvement } from './non-overlap-of-all-pairs.ts'
import { CannotEstimate, isKnown, type Maybe } from './shared.ts'

export interface TauU {
  readonly method: 'Tau-U'
  readonly improvement: Improvement
  readonly nA: number
  readonly nB: number
  readonly nDropped: number
  /** Pairs of A with B: better minus worse. */
  readonly sBetween: number
  /** Improving minus worsening pairs within A, and within B. */
  readonly sTrendA: number
  readonly sTrendB: number
  /** sBetween / (nA nB): no trend removed. */
  readonly tau: number
  /** sTrendA / (nA (nA - 1) / 2); null for a single occasion. */
  readonly tauTrendA: number | null
  readonly tauTrendB: number | null
  /** Baseline trend removed: (sBetween - sTrendA) / (nA nB). May pass 1 in size. */
  readonly minusTrendAOverBetweenPairs: number
  /** (sBetween - sTrendA) / (nA nB + nA (nA - 1) / 2). */
  readonly minusTrendAOverOwnPairs: number
  /** (sBetween + sTrendB - sTrendA) over all pairs, N (N - 1) / 2. */
  readonly plusTrendBMinusTrendAOverAllPairs: number
  /** Kendall's tau-b of the scores (turned so that up is better) with a 0/1 phase indicator; attenuated by the ties of the phase. */
  readonly kendallWithPhase: Kendall
}

export interface PhaseOptions {
  /** Which way is better; `increase` unless given. */
  readonly improvement?: Improvement
  /** Time of each occasion of A and of B; occasion numbers 1, 2, ... through both unless given. */
  readonly timesA?: ArrayLike<Maybe>
  readonly timesB?: ArrayLike<Maybe>
}

/**
 * Tau-U between a baseline phase A and a treatment phase B of one case, in all its forms, each named by what is removed and by its
 * denominator, since papers and programs that say "Tau-U" mean different ones.
 *
 * An occasion with score or time missing is dropped and counted; without times its number still counts, as a gap. Values that differ by rounding error
 * only tie.
 *
 * Source: Parker, Vannest, Davis and Sauber (2011) Behavior Therapy 42:284-299; Tarlow (2017) Behavior Modification 41:427-467 on the
 * denominators.
 *
 * @throws CannotEstimate where either phase has no score.
 */
export function tauU(phaseA: ArrayLike<Maybe>, phaseB: ArrayLike<Maybe>, options: PhaseOptions = {}): TauU {
  const improvement = options.improvement ?? 'increase'
  const phases = readPhases('tauU', phaseA, phaseB, options)
  const nA = phases.a.length
  const nB = phases.b.length
  const sign = improvement === 'increase' ? 1 : -1
  const codes = denseCodes([...phases.a, ...phases.b])
  const between = comparePhases(codes.subarray(0, nA), codes.subarray(nA), improvement)
  const sBetween = between.better - between.worse
  const sTrendA = sign * trend(phases.timesA, codes.subarray(0, nA))
  const sTrendB = sign * trend(phases.timesB, codes.subarray(nA))
  const pairs = nA * nB
  const pairsA = (nA * (nA - 1)) / 2
  const pairsB = (nB * (nB - 1)) / 2
  const indicator = Int32Array.from(codes, (_, i) => Number(i >= nA))
  return {
    method: 'Tau-U',
    improvement,
    nA,
    nB,
    nDropped: phases.dropped,
    sBetween,
    sTrendA,
    sTrendB,
    tau: sBetween / pairs,
    tauTrendA: pairsA > 0 ? sTrendA / pairsA : null,
    tauTrendB: pairsB > 0 ? sTrendB / pairsB : null,
    minusTrendAOverBetweenPairs: (sBetween - sTrendA) / pairs,
    minusTrendAOverOwnPairs: (sBetween - sTrendA) / (pairs + pairsA),
    plusTrendBMinusTrendAOverAllPairs: (sBetween + sTrendB - sTrendA) / (pairs + pairsA + pairsB),
    kendallWithPhase: kendallOfCodes(indicator, sign > 0 ? codes : reversedCodes(codes), phases.dropped),
  }
}

/** Rising minus falling pairs in the order of time. */
function trend(times: readonly number[], codes: Int32Array): number {
  let s = 0
  for (let i = 1; i < codes.length; i++)
    for (let j = 0; j < i; j++) s += Math.sign(codes[i]! - codes[j]!) * Math.sign(times[i]! - times[j]!)
  return s
}

/** Scores and times of the two phases with missing occasions left out; times default to occasion numbers. */
export function readPhases(
  statistic: string,
  phaseA: ArrayLike<Maybe>,
  phaseB: ArrayLike<Maybe>,
  options: Pick<PhaseOptions, 'timesA' | 'timesB'>,
) {
  const keep = (scores: ArrayLike<Maybe>, times: ArrayLike<Maybe> | undefined, before: number) => {
    if (times !== undefined && times.length !== scores.length)
      throw new CannotEstimate(statistic, 'a time a score', `${times.length} for ${scores.length}`)
    const kept: { score: number; time: number }[] = []
    for (let i = 0; i < scores.length; i++) {
      const score = scores[i]
      const time = times === undefined ? before + i + 1 : times[i]
      if (isKnown(score) && isKnown(time)) kept.push({ score, time })
    }
    return kept
  }
  const a = keep(phaseA, options.timesA, 0)
  const b = keep(phaseB, options.timesB, phaseA.length)
  if (a.length === 0 || b.length === 0)
    throw new CannotEstimate(statistic, 'a score in each phase', `${a.length} and ${b.length}`)
  return {
    a: a.map((occasion) => occasion.score),
    b: b.map((occasion) => occasion.score),
    timesA: a.map((occasion) => occasion.time),
    timesB: b.map((occasion) => occasion.time),
    dropped: phaseA.length + phaseB.length - a.length - b.length,
  }
}
