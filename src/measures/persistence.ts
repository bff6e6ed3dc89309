import { type KaplanMeier, kaplanMeier, medianOfSorted } from '../statistics/index.ts'
import { type ClientAdherence, LONG_BREAK_DAYS } from './adherence-clients.ts'
import type { AsOf } from './as-of.ts'
import { type Computed, compute, ExclusionTally, type MeasureResult, measureResult } from './result.ts'

/** How clients began: never started is its own answer. */
export interface Initiation {
  readonly clients: number
  readonly started: number
  readonly neverStarted: number
  /** Clients who started within 7 days of their programme's start. */
  readonly startedWithin7Days: number
  /** Median days from start to first session of those who started; null where none did. */
  readonly medianDays: number | null
}

/** One client's time from the first session to the first long break. Days. */
export interface PersistenceRow {
  readonly client_id: string
  readonly days: number
  /** True where a long break began then; false where the programme ended or the as-of day came first. */
  readonly longBreak: boolean
}

export interface Persistence extends MeasureResult {
  readonly rows: readonly PersistenceRow[]
  readonly curve: Computed<KaplanMeier>
}

/** Days from the start of the programme to the first session, over clients with a programme. */
export function initiation(clients: readonly ClientAdherence[]): Initiation {
  const days = clients.flatMap((c) => c.initiationDays ?? [])
  return {
    clients: clients.length,
    started: days.length,
    neverStarted: clients.length - days.length,
    startedWithin7Days: days.filter((d) => d <= 7).length,
    medianDays: days.length === 0 ? null : medianOfSorted(days.toSorted((a, b) => a - b)),
  }
}

/**
 * Discontinuation: Kaplan-Meier over clients of the days from the first session to the start of the first break of 14
 * running line-days or more. Without one, a client is censored after the last day of any line. Those who never started
 * have nothing to discontinue and are excluded, counted.
 */
export function persistence(clients: readonly ClientAdherence[], { asOf }: AsOf): Persistence {
  const left = new ExclusionTally()
  const rows = clients.flatMap((c): PersistenceRow[] => {
    if (c.firstSessionOn === null) {
      left.add('never started')
      return []
    }
    const end = c.firstLongBreak?.startsOn ?? c.until + 1
    return [{ client_id: c.client_id, days: end - c.firstSessionOn, longBreak: c.firstLongBreak !== null }]
  })
  return {
    ...measureResult({
      measure: 'Time to the first long break',
      asOf,
      unit: 'client',
      enrolled: clients.length,
      n: rows.length,
      exclusions: left.list(),
      method: 'Kaplan-Meier over clients',
      convention: `From the first session to the first day of the first ${LONG_BREAK_DAYS} running line-days in a row without a session; days on which no line runs do not count. A day without a diary counts as a day without exercise.`,
      assumptions: [
        'A day without any record is taken as a day without exercise; it may be a day without a diary.',
      ],
      reading: 'description',
    }),
    rows,
    curve: compute('The curve of time to the first long break', () =>
      kaplanMeier(
        rows.map((r) => r.days),
        rows.map((r) => r.longBreak),
      ),
    ),
  }
}
