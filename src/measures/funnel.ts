import type { Client, Records } from '../records/index.ts'
import { binomialFunnelLimits } from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { changeAccount } from './change-account.ts'
import { HORIZONS, type HorizonName } from './change-pairs.ts'
import { reliableImprovement } from './reliable-improvement.ts'
import {
  type Computed,
  type Exclusion,
  ExclusionTally,
  isComputed,
  type MeasureResult,
  measureResult,
  notComputed,
} from './result.ts'
import { allSeries, compareText } from './series.ts'
import {
  type SmallestReliableDifferenceOptions,
  smallestReliableDifference,
} from './smallest-reliable-difference.ts'

/** Groups of fewer clients are not shown. */
export const FEWEST_CLIENTS = 5
export const FUNNEL_LEVELS = [0.95, 0.998] as const

export interface FunnelOptions extends SmallestReliableDifferenceOptions, AsOf {
  readonly by: 'clinician' | 'site'
  /** Follow-up; 12 weeks unless given. */
  readonly horizon?: HorizonName
}

/** One clinician or site. In alphabetical order, never a ranking. */
export interface FunnelPoint {
  readonly name: string
  /** Clients. */
  readonly n: number
  readonly improved: number
  readonly share: number
  /** Whether the share lies outside what chance allows at that size. */
  readonly outside95: boolean
  readonly outside998: boolean
}

/** Chance alone puts a share of n clients below `lower`, or above `upper`, less often than half of 1 − level. */
export interface FunnelLimit {
  readonly n: number
  readonly level: number
  readonly lower: number
  readonly upper: number
}

export interface Funnel {
  readonly overall: number
  readonly points: readonly FunnelPoint[]
  /** For every size from the fewest shown to the largest group, at 95 % and 99.8 %. */
  readonly limits: readonly FunnelLimit[]
  /** Groups too small to show, and their clients. */
  readonly notShown: { readonly groups: number; readonly clients: number }
}

export interface FunnelResult extends MeasureResult {
  readonly by: 'clinician' | 'site'
  readonly funnel: Computed<Funnel>
}

interface ClientOutcome {
  readonly client: Client
  readonly improved: boolean
}

const NOT_ELIGIBLE = 'no baseline score exceeds the smallest reliable difference'

/** One outcome a client: improved where at least half of the eligible series are reliably improved or integrated. */
function clientOutcomes(
  pairs: ReturnType<typeof changeAccount>['pairs'],
  difference: Parameters<typeof reliableImprovement>[1],
): ClientOutcome[] {
  const byClient = new Map<string, { client: Client; eligible: number; improved: number }>()
  for (const pair of pairs) {
    const { eligible, improved } = reliableImprovement(pair, difference)
    const known = byClient.get(pair.client.client_id) ?? { client: pair.client, eligible: 0, improved: 0 }
    byClient.set(pair.client.client_id, known)
    known.eligible += Number(eligible)
    known.improved += Number(improved)
  }
  return [...byClient.values()]
    .filter((c) => c.eligible > 0)
    .map((c) => ({ client: c.client, improved: 2 * c.improved >= c.eligible }))
}

function limitsAt(n: number, overall: number): FunnelLimit[] {
  return FUNNEL_LEVELS.map((level) => {
    const { lowerStep, upperStep } = binomialFunnelLimits(n, overall, level)
    return { n, level, lower: lowerStep, upper: upperStep }
  })
}

function funnelOf(outcomes: readonly ClientOutcome[], by: FunnelOptions['by']): Computed<Funnel> {
  const named = outcomes.filter((o) => o.client[by] !== null)
  if (named.length === 0) return notComputed(`No funnel: no client with a follow-up has a ${by} on record.`)
  const overall = named.filter((o) => o.improved).length / named.length
  const groups = new Map<string, ClientOutcome[]>()
  for (const o of named) groups.set(o.client[by]!, [...(groups.get(o.client[by]!) ?? []), o])
  const shown = [...groups].filter(([, own]) => own.length >= FEWEST_CLIENTS)
  if (shown.length === 0)
    return notComputed(`No funnel: no ${by} has ${FEWEST_CLIENTS} clients or more with a follow-up.`)
  const points = shown
    .sort(([a], [b]) => compareText(a, b))
    .map(([name, own]): FunnelPoint => {
      const improved = own.filter((o) => o.improved).length
      const share = improved / own.length
      const [inner, outer] = limitsAt(own.length, overall)
      const outside = (l: FunnelLimit) => share < l.lower - 1e-12 || share > l.upper + 1e-12
      return {
        name,
        n: own.length,
        improved,
        share,
        outside95: outside(inner!),
        outside998: outside(outer!),
      }
    })
  const largest = Math.max(...points.map((p) => p.n))
  return {
    overall,
    points,
    limits: Array.from({ length: largest - FEWEST_CLIENTS + 1 }, (_, i) =>
      limitsAt(FEWEST_CLIENTS + i, overall),
    ).flat(),
    notShown: {
      groups: groups.size - shown.length,
      clients: named.length - points.reduce((sum, p) => sum + p.n, 0),
    },
  }
}

/**
 * Funnel of reliable improvement by clinician or site: each group's share of clients beside the limits within which chance alone
 * keeps a group of its size, at the overall share. Exact binomial limits, 95 % and 99.8 %; nothing under 5 clients; never a ranking.
 */
export function improvementFunnel(records: Records, options: FunnelOptions): FunnelResult {
  const { asOf, by } = options
  const horizon = HORIZONS[options.horizon ?? 'weeks12']
  const series = allSeries(records, options)
  const difference = smallestReliableDifference(series, options)
  const account = changeAccount(records, series, horizon, asOf)
  const outcomes = isComputed(difference) ? clientOutcomes(account.pairs, difference) : []
  const left = new ExclusionTally()
  for (const e of account.clients.exclusions) left.add(e.reason, e.count)
  if (isComputed(difference)) left.add(NOT_ELIGIBLE, account.clients.n - outcomes.length)
  else left.add('the smallest reliable difference cannot be worked out', account.clients.n)
  const withoutName = outcomes.filter((o) => o.client[by] === null).length
  left.add(`${by} not recorded`, withoutName)
  const exclusions: Exclusion[] = left.list()
  return {
    ...measureResult({
      measure: `Reliable improvement by ${by}`,
      asOf,
      unit: 'client',
      enrolled: account.clients.enrolled,
      n: outcomes.length - withoutName,
      exclusions,
      method: 'funnel with exact binomial quantiles as limits',
      convention: `Follow-up: ${horizon.label}. A client counts as improved where at least half of the series whose baseline exceeds the smallest reliable difference are reliably improved or integrated. Groups under ${FEWEST_CLIENTS} clients are not shown. In alphabetical order: no ranking.`,
      assumptions: isComputed(difference) && difference.from === 'assumed' ? [difference.note] : [],
      reading: 'uncontrolled change',
      readingNote:
        'Groups see different clients, so a share outside the limits is a reason to look at who was seen, never a verdict on anybody.',
    }),
    by,
    funnel: isComputed(difference) ? funnelOf(outcomes, by) : difference,
  }
}
