import { sampleStandardDeviation } from 'simple-statistics'
import type { AsOf } from './as-of.ts'
import { statusBaseline } from './baseline.ts'
import { type Computed, notComputed } from './result.ts'
import type { Series } from './series.ts'

export interface SmallestReliableDifferenceOptions extends AsOf {
  /** Double scorings needed, 30 unless given. */
  readonly minimumPairs?: number
  /** Clients they must come from, 10 unless given. */
  readonly minimumClients?: number
  /** ICC(2,1) assumed where there are too few; 0.80 unless given. */
  readonly assumedIcc?: number
  /** Days before the start within which a baseline lies, 60 unless given. */
  readonly baselineDays?: number
}

/** The change of one series that measuring error alone exceeds once in twenty. Share of the scale, 0 to 1. */
export interface SmallestReliableDifference {
  readonly severity: number
  /** Where it comes from; `assumed` is to be said on every page that uses it. */
  readonly from: 'own double scorings' | 'assumed'
  readonly pairs: number
  readonly clients: number
  readonly standardErrorOfMeasurement: number
  readonly method: string
  /** A sentence for the page. */
  readonly note: string
}

/** The difference in points of a scale. */
export const differenceInPoints = (difference: SmallestReliableDifference, scaleMax: number): number =>
  difference.severity * scaleMax

/** One double scoring: two named raters, one series, one day. Severities. */
export interface DoubleScoring {
  readonly series: Series
  readonly day: number
  readonly raters: readonly [string, string]
  readonly severities: readonly [number, number]
}

/** Every pair of scores of one series and day by two different named raters; three raters make three pairs. */
export function doubleScorings(series: readonly Series[]): DoubleScoring[] {
  const pairs: DoubleScoring[] = []
  for (const one of series)
    for (let i = 0; i < one.scores.length; i++) {
      const a = one.scores[i]!
      if (a.rater === null) continue
      for (let j = i + 1; j < one.scores.length && one.scores[j]!.day === a.day; j++) {
        const b = one.scores[j]!
        if (b.rater === null || b.rater === a.rater) continue
        pairs.push({
          series: one,
          day: a.day,
          raters: [a.rater, b.rater],
          severities: [a.severity, b.severity],
        })
      }
    }
  return pairs
}

/**
 * Smallest reliable difference of one series' score, as a share of the scale.
 *
 * From the clinic's own double scorings, 1.96 sqrt(mean d^2), d the difference of two raters (so SEM = sqrt(mean d^2 / 2));
 * 30 pairs from 10 clients are needed. Otherwise 1.96 sqrt(2) SEM with SEM = SD of baselines sqrt(1 - ICC), an ICC of
 * 0.80 assumed. Pairs with an unnamed rater do not count: they may be one person twice.
 *
 * Source: Bland and Altman (1996) BMJ 313:744, measurement error and repeatability (from memory).
 */
export function smallestReliableDifference(
  series: readonly Series[],
  options: SmallestReliableDifferenceOptions,
): Computed<SmallestReliableDifference> {
  const minimumPairs = options.minimumPairs ?? 30
  const minimumClients = options.minimumClients ?? 10
  const pairs = doubleScorings(series)
  const clients = new Set(pairs.map((p) => p.series.client_id)).size
  const found = `${pairs.length} double scorings of ${clients} clients`
  if (pairs.length >= minimumPairs && clients >= minimumClients) {
    const meanSquare = pairs.reduce((sum, { severities: [a, b] }) => sum + (a - b) ** 2, 0) / pairs.length
    return {
      severity: 1.96 * Math.sqrt(meanSquare),
      from: 'own double scorings',
      pairs: pairs.length,
      clients,
      standardErrorOfMeasurement: Math.sqrt(meanSquare / 2),
      method: '1.96 √(mean squared difference of double scorings)',
      note: `From the clinic's own ${found}.`,
    }
  }
  return assumedDifference(series, options, { pairs: pairs.length, clients, found })
}

function assumedDifference(
  series: readonly Series[],
  options: SmallestReliableDifferenceOptions,
  own: { readonly pairs: number; readonly clients: number; readonly found: string },
): Computed<SmallestReliableDifference> {
  const icc = options.assumedIcc ?? 0.8
  const baselines = series.flatMap((s) => statusBaseline(s, options.baselineDays).occasion?.severity ?? [])
  const spread = baselines.length < 2 ? 0 : sampleStandardDeviation(baselines)
  if (spread === 0)
    return notComputed(
      `The smallest reliable difference cannot be worked out: ${own.found} are too few, and ${baselines.length} baseline scores show no spread to assume it from.`,
    )
  const error = spread * Math.sqrt(1 - icc)
  return {
    severity: 1.96 * Math.SQRT2 * error,
    from: 'assumed',
    pairs: own.pairs,
    clients: own.clients,
    standardErrorOfMeasurement: error,
    method: `1.96 √2 · SD of ${baselines.length} baselines · √(1 − ${icc})`,
    note: `Assumed: ${own.found} are too few (${options.minimumPairs ?? 30} of ${options.minimumClients ?? 10} are needed), so agreement between raters is taken as ICC ${icc.toFixed(2)}.`,
  }
}
