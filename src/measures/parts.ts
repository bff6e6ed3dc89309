import type { Reflex, Side, Target } from '../records/index.ts'
import type { Adherence } from './adherence.ts'
import { type AdherenceFigures, figuresOf, sumOfRows } from './adherence-figures.ts'
import { adherenceSums } from './adherence-sums.ts'
import { calendarWeeks, type WeekAdherence } from './adherence-weeks.ts'
import type { BeforeAndAfter, HorizonChange } from './before-and-after.ts'
import { type ChangeSummary, changeSummary } from './change-summary.ts'

/** Adherence of a part of the caseload. */
export interface PartAdherence extends AdherenceFigures {
  /** Clients of the part with a line-day. */
  readonly clients: number
  readonly calendarWeeks: readonly WeekAdherence[]
}

/**
 * Adherence of the programme lines that hold (those of a site's clients, or of one reflex), from the days that
 * {@link adherence} has laid out: the same figures as of records that hold nothing else, without reading the sessions again.
 * Means are over line-days; null where the part has none.
 */
export function adherenceOfPart(
  log: Adherence,
  holds: (line: { readonly client_id: string; readonly target: Target; readonly side: Side }) => boolean,
): PartAdherence {
  const { days } = log
  const kept = days.stretches.flatMap((stretch, i) => (holds(stretch) ? [i] : []))
  const sums = adherenceSums({
    ...days,
    stretches: kept.map((i) => days.stretches[i]!),
    offset: Int32Array.from(kept, (i) => days.offset[i]!),
  })
  return {
    clients: new Set(kept.map((i) => days.stretches[i]!.client)).size,
    calendarWeeks: calendarWeeks(sums),
    ...figuresOf(sumOfRows(sums.perStretch), 0),
  }
}

/**
 * Before and after of the pairs that hold, the client as the unit: a row as those of {@link beforeAndAfter}'s tables, with
 * the caseload's own smallest reliable difference. `pHolm` is null, since a single row has no others to adjust for.
 */
export function changeOfPart(
  change: Pick<BeforeAndAfter, 'difference'>,
  horizon: Pick<HorizonChange, 'pairs'>,
  label: string,
  holds: (pair: { readonly client: { readonly client_id: string }; readonly reflex: Reflex }) => boolean,
  { level = 0.95 }: { readonly level?: number } = {},
): ChangeSummary {
  return changeSummary(label, horizon.pairs.filter(holds), change.difference, level)
}
