import { REFLEXES, type Records, SIDES } from '../records/index.ts'
import {
  adjustHolm,
  type ClusterBootstrap,
  clusterBootstrap,
  type RandomInterceptModel,
  randomInterceptModel,
} from '../statistics/index.ts'
import { AGE_GROUP_ORDER, ageGroup } from './age-group.ts'
import type { AsOf } from './as-of.ts'
import { type Account, type ChangeAccount, changeAccount } from './change-account.ts'
import { type ChangePair, HORIZONS, type Horizon, type HorizonName } from './change-pairs.ts'
import { type ChangeSummary, changeSummary } from './change-summary.ts'
import { POINTS_UNIT } from './points.ts'
import { type Computed, compute, isComputed, type MeasureResult, measureResult } from './result.ts'
import { allSeries } from './series.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'
import {
  type SmallestReliableDifference,
  smallestReliableDifference,
} from './smallest-reliable-difference.ts'

export interface BeforeAndAfterOptions extends AsOf {
  readonly level?: number
  /** Resamples of clients for the figure over all, 1999 unless given. */
  readonly draws?: number
  readonly seed?: number | string
}

/** The change over all reflexes and sides. */
export interface OverallChange {
  /** Mean change of a series, with a random client effect (REML); t interval, clients less one degrees of freedom. */
  readonly mixedModel: Computed<{ readonly change: SlopeEstimate; readonly model: RandomInterceptModel }>
  /** Mean change of all series, resampling whole clients. */
  readonly bootstrap: Computed<ClusterBootstrap>
  /** Each client's mean over all its series, as a row of the tables. */
  readonly byClient: ChangeSummary
}

/** Before and after at one horizon. The unit of the account is the series; `clients` accounts for every client. */
export interface HorizonChange extends MeasureResult {
  readonly horizon: Horizon
  readonly clients: Account
  readonly byReflex: readonly ChangeSummary[]
  readonly overall: OverallChange
  readonly bySite: readonly ChangeSummary[]
  readonly byAgeGroup: readonly ChangeSummary[]
  readonly bySide: readonly ChangeSummary[]
  /** Age-appropriate at baseline, per reflex: a reflex that is due to go proves nothing by going. */
  readonly ageAppropriate: readonly ChangeSummary[]
  /** Every pair that counts, for a chart or a table. */
  readonly pairs: readonly ChangePair[]
}

export interface BeforeAndAfter {
  /** The horizon that a page shows first: 12 weeks. */
  readonly headline: HorizonName
  readonly horizons: Readonly<Record<HorizonName, HorizonChange>>
  readonly difference: Computed<SmallestReliableDifference>
}

type Context = {
  readonly difference: Computed<SmallestReliableDifference>
  readonly level: number
  readonly options: BeforeAndAfterOptions
}

/** One summary a group, in the order given; p adjusted over them by Holm. */
function tableBy(
  pairs: readonly ChangePair[],
  groupOf: (pair: ChangePair) => string,
  order: readonly string[],
  { difference, level }: Context,
): ChangeSummary[] {
  const groups = new Map<string, ChangePair[]>()
  for (const pair of pairs) {
    const label = groupOf(pair)
    const own = groups.get(label)
    if (own) own.push(pair)
    else groups.set(label, [pair])
  }
  const place = (label: string) => (order.includes(label) ? order.indexOf(label) : order.length)
  const labels = [...groups.keys()].sort((a, b) => place(a) - place(b) || (a < b ? -1 : 1))
  const rows = labels.map((label) => changeSummary(label, groups.get(label)!, difference, level))
  const adjusted = adjustHolm(rows.map((r) => r.p))
  return rows.map((row, i) => ({ ...row, pHolm: adjusted[i] ?? null }))
}

function overallChange(pairs: readonly ChangePair[], horizon: HorizonName, context: Context): OverallChange {
  const { level, difference, options } = context
  const changes = pairs.map((p) => p.change)
  const clients = pairs.map((p) => p.series.client_id)
  return {
    mixedModel: compute('The change over all', () => {
      const model = randomInterceptModel(
        changes.map(() => [1]),
        changes,
        clients,
      )
      const error = Math.sqrt(model.modelCovariance[0]!)
      return { change: slopeEstimate(model.coefficients[0]!, error, model.nClusters - 1, level), model }
    }),
    bootstrap: compute('The bootstrap over clients', () =>
      clusterBootstrap(
        clients,
        ({ rowCounts }) => {
          let sum = 0
          let n = 0
          for (let i = 0; i < rowCounts.length; i++) {
            n += rowCounts[i]!
            sum += rowCounts[i]! * changes[i]!
          }
          return sum / n
        },
        { level, draws: options.draws ?? 1999, seed: options.seed ?? 1, key: ['before and after', horizon] },
      ),
    ),
    byClient: changeSummary('all reflexes', pairs, difference, level),
  }
}

function convention(horizon: Horizon): string {
  const followUp =
    horizon.aim === null
      ? `the last occasion, ${horizon.from} days or more after the start`
      : `the occasion nearest to day ${horizon.aim}, from day ${horizon.from} to ${horizon.to}, ties to the earlier`
  return `Start: the earliest line for the reflex and side. Baseline: the last occasion in the 60 days up to the start. Follow-up: ${followUp}. Change = follow-up − baseline in ${POINTS_UNIT}: below 0 is better. Unit per reflex: the client, mean over sides. g = J × d_z, J exact, interval by noncentral t; p by Wilcoxon’s signed-rank test (zeros dropped; exact up to 300 clients who changed, normal beyond), adjusted by Holm.`
}

function horizonChange(account: ChangeAccount, horizon: Horizon, context: Context): HorizonChange {
  const { pairs, ageAppropriate, series, clients } = account
  const { difference, options } = context
  const assumptions: string[] = []
  if (!isComputed(difference)) assumptions.push(difference.notComputed)
  else if (difference.from === 'assumed') assumptions.push(difference.note)
  const byReflex = (some: readonly ChangePair[]) => tableBy(some, (p) => p.reflex, REFLEXES, context)
  return {
    ...measureResult({
      measure: `Before and after: ${horizon.label}`,
      asOf: options.asOf,
      unit: 'series',
      enrolled: series.enrolled,
      n: series.n,
      exclusions: series.exclusions,
      method:
        'paired change, standardised; mixed model with client effect over all, cluster bootstrap beside it',
      convention: convention(horizon),
      assumptions,
      reading: 'uncontrolled change',
    }),
    horizon,
    clients,
    byReflex: byReflex(pairs),
    overall: overallChange(pairs, horizon.name, context),
    bySite: tableBy(pairs, (p) => p.client.site ?? 'site not recorded', [], context),
    byAgeGroup: tableBy(pairs, (p) => ageGroup(p.ageMonths), AGE_GROUP_ORDER, context),
    bySide: tableBy(pairs, (p) => p.side, SIDES, context),
    ageAppropriate: byReflex(ageAppropriate),
    pairs,
  }
}

/**
 * Change from the last score before the programme's start to a follow-up, at three horizons: 12 weeks (the headline), 26 weeks and the latest.
 *
 * Only series past their usual age at baseline count; age-appropriate ones are summarised apart. Per reflex (and site, age group, side)
 * the unit is the client, the mean over its series. Over all: a mixed model of the series' changes with a client effect, and a bootstrap
 * of whole clients beside it. Every series and every client is accounted for: enrolled = analysed + excluded by reason.
 *
 * Without a comparison group this is change, never the effect of a programme.
 */
export function beforeAndAfter(records: Records, options: BeforeAndAfterOptions): BeforeAndAfter {
  const series = allSeries(records, options)
  const difference = smallestReliableDifference(series, options)
  const context = { difference, level: options.level ?? 0.95, options }
  const at = (name: HorizonName) =>
    horizonChange(changeAccount(records, series, HORIZONS[name], options.asOf), HORIZONS[name], context)
  return {
    headline: 'weeks12',
    horizons: { weeks12: at('weeks12'), weeks26: at('weeks26'), latest: at('latest') },
    difference,
  }
}
