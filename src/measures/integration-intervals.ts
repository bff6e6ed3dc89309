import type { Client, Day } from '../records/index.ts'
import { seriesAge } from './ages.ts'
import type { Series } from './series.ts'
import { zeroRuns } from './zero-runs.ts'

/** What is known of the day on which a reflex went, in days after the programme's start: in (left, right]. */
export interface IntegrationInterval {
  readonly series: Series
  /** The last positive occasion before the confirmed run (or the last positive of all), not before 0. */
  readonly left: number
  /** The first 0 of the confirmed run; Infinity while there is none. */
  readonly right: number
  /** The day after the confirmed run on which the reflex was positive again; null where it was not. */
  readonly returnedOn: Day | null
  readonly ageAppropriate: boolean
}

export const NO_INTEGRATION_TIME = {
  noProgramme: 'no programme line for this reflex and side by the as-of day',
  noneBefore: 'no score on or before the start, so it is not known that the reflex was there',
  absentAtStart: '0 at the last score on or before the start',
  noneAfter: 'no score after the start',
} as const

/**
 * The interval of one series, or why it has none. Only a reflex seen on the last occasion on or before the start can go
 * after it. The first confirmed run of zeros after the start counts, even where the reflex came back: `returnedOn` says so.
 * Not yet integrated is right-censored at the last positive occasion, for after it the reflex may have gone unseen.
 */
export function integrationInterval(
  series: Series,
  client: Client | undefined,
): IntegrationInterval | { readonly reason: string } {
  const { start, occasions } = series
  if (start === null) return { reason: NO_INTEGRATION_TIME.noProgramme }
  const before = occasions.findLastIndex((o) => o.day <= start)
  if (before < 0) return { reason: NO_INTEGRATION_TIME.noneBefore }
  if (occasions[before]!.severity === 0) return { reason: NO_INTEGRATION_TIME.absentAtStart }
  if (before === occasions.length - 1) return { reason: NO_INTEGRATION_TIME.noneAfter }
  const run = zeroRuns(occasions).find((r) => r.confirmed && r.from > before)
  const lastPositive =
    run === undefined ? occasions.findLast((o) => o.severity > 0)! : occasions[run.from - 1]!
  const back = run === undefined ? undefined : occasions[run.to + 1]
  return {
    series,
    left: Math.max(0, lastPositive.day - start),
    right: run === undefined ? Infinity : occasions[run.from]!.day - start,
    returnedOn: back?.day ?? null,
    ageAppropriate: seriesAge(client, series.reflex, start).standing === 'age-appropriate',
  }
}
