import type { Client, Day, Reflex, Side } from '../records/index.ts'
import { type AgeStanding, seriesAge } from './ages.ts'
import { isDischarged } from './as-of.ts'
import { BASELINE_DAYS, baselineOccasion } from './baseline.ts'
import { points } from './points.ts'
import type { Occasion, Series } from './series.ts'

export type HorizonName = 'latest' | 'weeks12' | 'weeks26'

/** When the follow-up lies, in days after the programme's start. */
export interface Horizon {
  readonly name: HorizonName
  readonly label: string
  readonly from: number
  /** Infinite for the latest occasion. */
  readonly to: number
  /** The day aimed at; null takes the last occasion. */
  readonly aim: number | null
}

/** The three horizons: the latest occasion from day 28; 12 weeks give or take 3 (the headline); 26 weeks give or take 4. */
export const HORIZONS: Readonly<Record<HorizonName, Horizon>> = {
  weeks12: { name: 'weeks12', label: '12 weeks (± 3)', from: 63, to: 105, aim: 84 },
  weeks26: { name: 'weeks26', label: '26 weeks (± 4)', from: 154, to: 210, aim: 182 },
  latest: { name: 'latest', label: 'latest, 28 days or more', from: 28, to: Infinity, aim: null },
}

/** One series' baseline and follow-up. Scores in points of the common scale. */
export interface ChangePair {
  readonly series: Series
  readonly client: Client
  readonly reflex: Reflex
  readonly side: Side
  readonly start: Day
  readonly baselineOn: Day
  readonly baseline: number
  readonly followUpOn: Day
  readonly followUp: number
  /** Follow-up less baseline: below 0 is better. */
  readonly change: number
  readonly ageMonths: number | null
  readonly standing: AgeStanding
}

/** A series that gives no pair, with the reason a page prints. */
export interface LeftOut {
  readonly series: Series
  readonly reason: string
}

export const LEFT_OUT = {
  noProgramme: 'no programme line for this reflex and side by the as-of day',
  noBaselineEver: 'no score on or before the programme’s start',
  baselineTooOld: `last score before the start is more than ${BASELINE_DAYS} days before it`,
  discharged: 'left the clinic before a follow-up in the window',
  tooEarly: 'the follow-up window has not been reached or is still open',
  noFollowUp: 'no score in the follow-up window',
  unknownClient: 'client not in the clients table',
  ageUnknown: 'age unknown, so it cannot be told whether the reflex is past its usual age',
  ageAppropriate: 'age-appropriate at baseline: counted and shown apart',
} as const

/** The follow-up of a series at a horizon: the nearest occasion to the day aimed at (ties to the earlier), or the last. */
export function followUpOccasion(series: Series, horizon: Horizon): Occasion | null {
  const { start } = series
  if (start === null) return null
  let found: Occasion | null = null
  for (const occasion of series.occasions) {
    const after = occasion.day - start
    if (after < horizon.from || after > horizon.to) continue
    if (found === null || horizon.aim === null) found = occasion
    else if (Math.abs(after - horizon.aim) < Math.abs(found.day - start - horizon.aim)) found = occasion
  }
  return found
}

function whyNoFollowUp(series: Series, client: Client, horizon: Horizon, asOf: Day): string {
  const closes = series.start! + (horizon.aim === null ? horizon.from : horizon.to)
  if (isDischarged(client, asOf) && client.discharged_on! <= closes) return LEFT_OUT.discharged
  return asOf < closes ? LEFT_OUT.tooEarly : LEFT_OUT.noFollowUp
}

/** The pair of a series at a horizon, or why there is none. Age does not exclude here: `standing` says what it is. */
export function changePair(
  series: Series,
  client: Client | undefined,
  horizon: Horizon,
  asOf: Day,
): ChangePair | LeftOut {
  const leftOut = (reason: string): LeftOut => ({ series, reason })
  if (client === undefined) return leftOut(LEFT_OUT.unknownClient)
  if (series.start === null) return leftOut(LEFT_OUT.noProgramme)
  const baseline = baselineOccasion(series)
  if (baseline === null)
    return leftOut(
      series.occasions[0]!.day <= series.start ? LEFT_OUT.baselineTooOld : LEFT_OUT.noBaselineEver,
    )
  const followUp = followUpOccasion(series, horizon)
  if (followUp === null) return leftOut(whyNoFollowUp(series, client, horizon, asOf))
  const age = seriesAge(client, series.reflex, baseline.day)
  return {
    series,
    client,
    reflex: series.reflex,
    side: series.side,
    start: series.start,
    baselineOn: baseline.day,
    baseline: points(baseline),
    followUpOn: followUp.day,
    followUp: points(followUp),
    change: points(followUp) - points(baseline),
    ageMonths: age.ageMonths,
    standing: age.standing,
  }
}

/** Whether a series has its pair of a baseline and a follow-up, or was left out. */
export const isPair = (x: ChangePair | LeftOut): x is ChangePair => 'baseline' in x
