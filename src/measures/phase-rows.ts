import { type Client, DAYS_PER_MONTH } from '../records/index.ts'
import { seriesAge } from './ages.ts'
import { points } from './points.ts'
import { ExclusionTally } from './result.ts'
import type { Occasion, Series } from './series.ts'

/** One occasion in the phase model. Time in months from the programme's start. */
export interface PhaseRow {
  readonly client_id: string
  readonly series: string
  readonly months: number
  /** Score in points of the common scale, the mean over that day's raters. */
  readonly score: number
  readonly ageAtStartYears: number
  readonly ageYears: number
  /** 1 on the baseline (the last occasion on or before the start), else 0. */
  readonly baseline: 0 | 1
  /** 1 on the first occasion of all, where it lies on or before the start and is not the baseline, else 0. */
  readonly first: 0 | 1
}

export interface PhaseRows {
  readonly rows: readonly PhaseRow[]
  readonly series: number
  /** Series with two occasions or more on or before the start. */
  readonly withTwoBefore: number
  /** Series with three or more. */
  readonly withThreeBefore: number
  readonly exclusions: ReturnType<ExclusionTally['list']>
}

export const PHASE_LEFT_OUT = {
  noProgramme: 'no programme line for this reflex and side by the as-of day',
  ageUnknown: 'age unknown, so growing up cannot be allowed for',
  ageAppropriate: 'age-appropriate at the start: due to go in any case',
  one: 'fewer than 2 occasions within the window around the start',
} as const

/**
 * The occasions that the phase model is fitted to: series with a programme, past their usual age at the start, with two
 * occasions or more within `windowMonths` of the start.
 */
export function phaseRows(
  series: readonly Series[],
  clients: ReadonlyMap<string, Client>,
  windowMonths: number,
): PhaseRows {
  const tally = new ExclusionTally()
  const rows: PhaseRow[] = []
  let count = 0
  let withTwoBefore = 0
  let withThreeBefore = 0
  for (const one of series) {
    const own = rowsOf(one, clients.get(one.client_id), windowMonths)
    if ('reason' in own) {
      tally.add(own.reason)
      continue
    }
    count++
    const before = own.rows.filter((row) => row.months <= 0).length
    if (before >= 2) withTwoBefore++
    if (before >= 3) withThreeBefore++
    rows.push(...own.rows)
  }
  return { rows, series: count, withTwoBefore, withThreeBefore, exclusions: tally.list() }
}

function rowsOf(
  series: Series,
  client: Client | undefined,
  windowMonths: number,
): { readonly rows: readonly PhaseRow[] } | { readonly reason: string } {
  const { start } = series
  if (start === null) return { reason: PHASE_LEFT_OUT.noProgramme }
  if (client === undefined || client.birth_date === null) return { reason: PHASE_LEFT_OUT.ageUnknown }
  if (seriesAge(client, series.reflex, start).standing === 'age-appropriate')
    return { reason: PHASE_LEFT_OUT.ageAppropriate }
  const monthsOf = (o: Occasion) => (o.day - start) / DAYS_PER_MONTH
  const near = series.occasions.filter((o) => Math.abs(monthsOf(o)) <= windowMonths)
  if (near.length < 2) return { reason: PHASE_LEFT_OUT.one }
  const baseline = near.findLast((o) => o.day <= start)
  const first = series.occasions[0]!
  const ageAtStartYears = (start - client.birth_date) / 365.25
  const rows = near.map((o): PhaseRow => {
    const months = monthsOf(o)
    return {
      client_id: series.client_id,
      series: series.id,
      months,
      score: points(o),
      ageAtStartYears,
      ageYears: ageAtStartYears + (months * DAYS_PER_MONTH) / 365.25,
      baseline: o === baseline ? 1 : 0,
      first: o === first && o !== baseline && o.day <= start ? 1 : 0,
    }
  })
  return { rows }
}
