import {
  allSeries,
  type ChangePair,
  changeAccount,
  clientChanges,
  compute,
  eachClientWeek,
  HORIZONS,
  isComputed,
  type ProgrammeDays,
  programmeDays,
  type Series,
} from '../measures/index.ts'
import { type Day, REFLEXES, type Records, type Reflex } from '../records/index.ts'
import { pairedEffectSizes } from '../statistics/index.ts'

/**
 * What a release needs of the measures, worked out once over all records. Series, changes and programme days are each one
 * client's own, so those of the released people are the same whether the others are there or not.
 */
export interface ClinicView {
  readonly records: Records
  readonly asOf: Day
  readonly series: readonly Series[]
  readonly days: ProgrammeDays
  /** Changes from baseline to 12 weeks that count. */
  readonly pairs: readonly ChangePair[]
}

export function clinicView(records: Records, asOf: Day): ClinicView {
  const series = allSeries(records, { asOf })
  return {
    records,
    asOf,
    series,
    days: programmeDays(records, { asOf }),
    pairs: changeAccount(records, series, HORIZONS.weeks12, asOf).pairs,
  }
}

/** Before and after of one reflex, the client as the unit. */
export interface Outcome {
  readonly reflex: Reflex
  readonly clients: number
  readonly baselineMean: number
  readonly followUpMean: number
  readonly meanChange: number
  /** Hedges' g with its 95 % interval by noncentral t; null where it cannot be computed. */
  readonly hedgesG: number | null
  readonly lower: number | null
  readonly upper: number | null
}

export const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length

/** The figures of `beforeAndAfter` that a release prints, without the tests that it does not. */
export function outcomesOf(pairs: readonly ChangePair[]): Outcome[] {
  const byReflex = new Map<Reflex, ChangePair[]>()
  for (const pair of pairs) {
    const own = byReflex.get(pair.reflex)
    if (own) own.push(pair)
    else byReflex.set(pair.reflex, [pair])
  }
  return REFLEXES.flatMap((reflex) => {
    const own = byReflex.get(reflex)
    if (!own) return []
    const clients = clientChanges(own)
    const before = clients.map((c) => c.baseline)
    const after = clients.map((c) => c.followUp)
    const effect = compute('The effect size', () => pairedEffectSizes(before, after))
    const sizes = isComputed(effect) ? effect : null
    return {
      reflex,
      clients: clients.length,
      baselineMean: mean(before),
      followUpMean: mean(after),
      meanChange: mean(clients.map((c) => c.change)),
      hedgesG: sizes?.hedgesG ?? null,
      lower: sizes?.hedgesGInterval.lower ?? null,
      upper: sizes?.hedgesGInterval.upper ?? null,
    }
  })
}

/** Each client's mean dose fraction as logged over all line-days; those without a line-day have none. */
export function meanDoses(days: ProgrammeDays): number[] {
  const dose = new Float64Array(days.programme.clientIds.length)
  const lineDays = new Float64Array(dose.length)
  eachClientWeek(days, (client, _week, sums) => {
    dose[client]! += sums.dose
    lineDays[client]! += sums.lineDays
  })
  return Array.from(dose, (sum, client) => sum / lineDays[client]!).filter((x) => !Number.isNaN(x))
}
