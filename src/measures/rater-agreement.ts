import type { Records, Reflex } from '../records/index.ts'
import {
  agreementTable,
  type BlandAltman,
  blandAltman,
  type IntraclassCorrelations,
  intraclassCorrelations,
  type Kappa,
  kappa,
} from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { COMMON_SCALE } from './points.ts'
import {
  type Computed,
  compute,
  ExclusionTally,
  type MeasureResult,
  measureResult,
  notComputed,
} from './result.ts'
import { allSeries } from './series.ts'
import { type DoubleScoring, doubleScorings } from './smallest-reliable-difference.ts'

export interface RaterAgreementOptions extends AsOf {
  /** Fewest double scorings of a rater pair at a reflex, 10 unless given. */
  readonly minimumPairs?: number
  readonly level?: number
}

/** Agreement of two raters at one reflex. Scores in points of the common scale. */
export interface RaterPairAgreement {
  readonly reflex: Reflex
  /** In code-point order; differences are first less second. */
  readonly raters: readonly [string, string]
  readonly pairs: number
  readonly clients: number
  /** Quadratic weights over the whole scale. Scores between whole points leave it uncomputed. */
  readonly kappa: Computed<Kappa>
  /** `icc21` is the one to read: single rater, absolute agreement. */
  readonly icc: Computed<IntraclassCorrelations>
  readonly blandAltman: Computed<BlandAltman>
}

export interface RaterAgreement extends MeasureResult {
  readonly rows: readonly RaterPairAgreement[]
  /** Rater pairs at a reflex with too few double scorings: how far they are. */
  readonly tooFew: readonly {
    readonly reflex: Reflex
    readonly raters: readonly [string, string]
    readonly pairs: number
  }[]
}

/** A double scoring with its raters in order of name, scores in points. */
interface Ordered {
  readonly reflex: Reflex
  readonly client_id: string
  readonly raters: readonly [string, string]
  readonly scores: readonly [number, number]
}

function ordered({ series, raters: [a, b], severities: [x, y] }: DoubleScoring): Ordered {
  const swap = b < a
  return {
    reflex: series.reflex,
    client_id: series.client_id,
    raters: swap ? [b, a] : [a, b],
    scores: swap ? [y * COMMON_SCALE, x * COMMON_SCALE] : [x * COMMON_SCALE, y * COMMON_SCALE],
  }
}

function kappaOf(scores: readonly (readonly [number, number])[], level: number): Computed<Kappa> {
  if (scores.flat().some((s) => !Number.isInteger(s)))
    return notComputed('Kappa needs whole points of the 0 to 4 scale; some scores lie between them.')
  return compute('Kappa', () => {
    const table = agreementTable(
      scores.map(([a]) => a),
      scores.map(([, b]) => b),
      COMMON_SCALE + 1,
    )
    return kappa(table, 'quadratic', { level })
  })
}

function agreementOf(rows: readonly Ordered[], level: number): RaterPairAgreement {
  const scores = rows.map((r) => r.scores)
  return {
    reflex: rows[0]!.reflex,
    raters: rows[0]!.raters,
    pairs: rows.length,
    clients: new Set(rows.map((r) => r.client_id)).size,
    kappa: kappaOf(scores, level),
    icc: compute('The intraclass correlation', () => intraclassCorrelations(scores, { level })),
    blandAltman: compute('The limits of agreement', () =>
      blandAltman(
        scores.map(([a]) => a),
        scores.map(([, b]) => b),
        { level },
      ),
    ),
  }
}

/**
 * Agreement between raters from double scorings, per reflex and rater pair with 10 or more: quadratic-weighted kappa, ICC(2,1) and
 * Bland-Altman limits. Double scorings of one client stand as if independent, so intervals are a little too short where few clients were
 * scored often; `clients` says how many there are.
 */
export function raterAgreement(records: Records, options: RaterAgreementOptions): RaterAgreement {
  const minimum = options.minimumPairs ?? 10
  const scorings = doubleScorings(allSeries(records, options)).map(ordered)
  const groups = new Map<string, Ordered[]>()
  for (const one of scorings) {
    const key = JSON.stringify([one.reflex, ...one.raters])
    const own = groups.get(key)
    if (own) own.push(one)
    else groups.set(key, [one])
  }
  const sorted = [...groups].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, rows]) => rows)
  const enough = sorted.filter((rows) => rows.length >= minimum)
  const few = sorted.filter((rows) => rows.length < minimum)
  const tally = new ExclusionTally()
  tally.add(`of a rater pair with fewer than ${minimum} at that reflex`, few.flat().length)
  return {
    ...measureResult({
      measure: 'Agreement between raters',
      asOf: options.asOf,
      unit: 'double scoring',
      enrolled: scorings.length,
      n: enough.flat().length,
      exclusions: tally.list(),
      method: 'quadratic-weighted kappa, ICC(2,1), Bland–Altman limits',
      convention:
        'Two named raters, one series, one day; three raters make three pairs. Kappa over all five points of the 0 to 4 scale. Difference: first rater in order of name less the second.',
      reading: 'description',
    }),
    rows: enough.map((rows) => agreementOf(rows, options.level ?? 0.95)),
    tooFew: few.map((rows) => ({ reflex: rows[0]!.reflex, raters: rows[0]!.raters, pairs: rows.length })),
  }
}
