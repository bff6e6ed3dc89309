import { type Day, formatDay, type Records } from '../records/index.ts'
import { medianOfSorted } from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'

/** How often the clinic sees its clients: days between a client's visits, a visit being a day with a score. */
export interface VisitGap {
  /** Median over all gaps of all clients; null where no client was seen twice. */
  readonly medianDays: number | null
  readonly gaps: number
  /** A client not seen for more days than this is overdue: 1.5 times the median. */
  readonly overdueAfterDays: number
  readonly assumed: boolean
  readonly note: string
}

/** Where nobody was seen twice: 42 days, as if visits were every four weeks. */
const ASSUMED_OVERDUE = 42
export const OVERDUE_FACTOR = 1.5

/** Days (since 1970-01-01) on which a client was scored, up to the as-of day: by client, each once, in order. A client without a score is not there. */
export function visitDays(records: Records, { asOf }: AsOf): Map<string, readonly Day[]> {
  const days = new Map<string, Set<Day>>()
  for (const a of records.assessments) {
    if (a.assessed_on > asOf) continue
    const known = days.get(a.client_id) ?? new Set<Day>()
    days.set(a.client_id, known)
    known.add(a.assessed_on)
  }
  return new Map([...days].map(([id, set]) => [id, [...set].sort((a, b) => a - b)]))
}

/** The clinic's median visit gap, and when a client counts as overdue. */
export function visitGap(records: Records, options: AsOf): VisitGap {
  const gaps: number[] = []
  for (const days of visitDays(records, options).values())
    for (let i = 1; i < days.length; i++) gaps.push(days[i]! - days[i - 1]!)
  if (gaps.length === 0)
    return {
      medianDays: null,
      gaps: 0,
      overdueAfterDays: ASSUMED_OVERDUE,
      assumed: true,
      note: `Assumed: no client was seen twice by ${formatDay(options.asOf)}, so ${ASSUMED_OVERDUE} days stand for 1.5 × the median visit gap.`,
    }
  const median = medianOfSorted(gaps.toSorted((a, b) => a - b))
  return {
    medianDays: median,
    gaps: gaps.length,
    overdueAfterDays: OVERDUE_FACTOR * median,
    assumed: false,
    note: `The median of ${gaps.length} visit gaps is ${median} days; overdue is more than 1.5 times that.`,
  }
}
