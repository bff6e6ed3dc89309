import {
  type MatchedPairsRankBiserial,
  matchedPairsRankBiserial,
  type PairedEffectSizes,
  type Proportion,
  pairedEffectSizes,
  type WilcoxonSignedRank,
  wilcoxonSignedRank,
  wilsonInterval,
} from '../statistics/index.ts'
import type { ChangePair } from './change-pairs.ts'
import { reliableImprovement } from './reliable-improvement.ts'
import { type Computed, compute, isComputed, notComputed } from './result.ts'
import type { SmallestReliableDifference } from './smallest-reliable-difference.ts'

/** One client's mean over sides (and reflexes, where several are taken together). Points of the common scale. */
export interface ClientChange {
  readonly client_id: string
  readonly series: number
  readonly baseline: number
  readonly followUp: number
  readonly change: number
}

/** Share of the eligible series that improved reliably or integrated. */
export interface ImprovedShare extends Proportion {
  /** Series whose baseline does not exceed the smallest reliable difference: they could not fall by more. */
  readonly notEligible: number
  /** The difference rests on an assumed agreement between raters. */
  readonly assumed: boolean
}

/** Change of a set of series, the client as the unit. Change is follow-up less baseline: below 0 is better. */
export interface ChangeSummary {
  readonly label: string
  readonly clients: number
  readonly series: number
  readonly baselineMean: number | null
  readonly followUpMean: number | null
  readonly meanChange: number | null
  /** d_z, d_av and Hedges' g = J d_z with noncentral t intervals. */
  readonly effect: Computed<PairedEffectSizes>
  readonly rankBiserial: Computed<MatchedPairsRankBiserial>
  readonly wilcoxon: Computed<WilcoxonSignedRank>
  /** Exact two-sided p; by normal approximation beyond 300 clients who changed; null where no client changed. */
  readonly p: number | null
  /** p adjusted by Holm over the rows of the table; null where p is. */
  readonly pHolm: number | null
  /** The unit is the series here, so sides of one client count apart and the interval is somewhat too short. */
  readonly improved: Computed<ImprovedShare>
}

/** Beyond so many clients the exact law takes seconds and differs from the normal one in no digit that a page shows. */
const EXACT_UP_TO = 300

/** Means over each client's series, in order of first appearance. */
export function clientChanges(pairs: readonly ChangePair[]): ClientChange[] {
  const byClient = new Map<string, ChangePair[]>()
  for (const pair of pairs) {
    const own = byClient.get(pair.series.client_id)
    if (own) own.push(pair)
    else byClient.set(pair.series.client_id, [pair])
  }
  return [...byClient].map(([client_id, own]) => {
    const baseline = mean(own.map((p) => p.baseline))!
    const followUp = mean(own.map((p) => p.followUp))!
    return { client_id, series: own.length, baseline, followUp, change: followUp - baseline }
  })
}

const mean = (xs: readonly number[]): number | null =>
  xs.length === 0 ? null : xs.reduce((a, b) => a + b, 0) / xs.length

/** The share of series that improved reliably or integrated, of those that could. */
export function improvedShare(
  pairs: readonly ChangePair[],
  difference: Computed<SmallestReliableDifference>,
  level: number,
): Computed<ImprovedShare> {
  if (!isComputed(difference)) return difference
  const judged = pairs.map((pair) => reliableImprovement(pair, difference))
  const eligible = judged.filter((j) => j.eligible)
  if (eligible.length === 0)
    return notComputed(
      'No series starts above the smallest reliable difference, so none could improve by more.',
    )
  return {
    ...wilsonInterval(eligible.filter((j) => j.improved).length, eligible.length, { level }),
    notEligible: judged.length - eligible.length,
    assumed: difference.from === 'assumed',
  }
}

/**
 * Summary of a set of pairs, before any adjustment over rows. The client is the unit: a client's series are averaged first, so that one with
 * many does not count for many. Points are those of the common scale.
 */
export function changeSummary(
  label: string,
  pairs: readonly ChangePair[],
  difference: Computed<SmallestReliableDifference>,
  level: number,
): ChangeSummary {
  const clients = clientChanges(pairs)
  const before = clients.map((c) => c.baseline)
  const after = clients.map((c) => c.followUp)
  const wilcoxon = compute('Wilcoxon’s test', () =>
    wilcoxonSignedRank(before, after, { exactUpTo: EXACT_UP_TO }),
  )
  return {
    label,
    clients: clients.length,
    series: pairs.length,
    baselineMean: mean(before),
    followUpMean: mean(after),
    meanChange: mean(clients.map((c) => c.change)),
    effect: compute('The effect size', () => pairedEffectSizes(before, after, { level })),
    rankBiserial: compute('The rank-biserial correlation', () =>
      matchedPairsRankBiserial(before, after, { level }),
    ),
    wilcoxon,
    p: isComputed(wilcoxon) ? (wilcoxon.pTwoSidedExact ?? wilcoxon.pNormal) : null,
    pHolm: null,
    improved: improvedShare(pairs, difference, level),
  }
}
