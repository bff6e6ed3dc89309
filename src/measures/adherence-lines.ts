import type { Day, DoneBy, ProgrammeLine, Side, Target } from '../records/index.ts'
import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { type AdherenceSums, amountOver } from './adherence-sums.ts'
import { type ProgrammeDays, WHO } from './programme-days.ts'
import type { DoseUnit, Segment } from './programme-stretches.ts'
import { seriesId } from './series.ts'

/** Sessions by who did them. */
export type SessionsByWho = Readonly<Record<DoneBy | 'not recorded', number>>

/** Sums of the figures on record, beside what was prescribed. */
export interface Delivered {
  /** Known repetitions; sessions without a figure add nothing here. */
  readonly repsDone: number
  /** null where a line prescribes none. */
  readonly repsPrescribed: number | null
  readonly secondsDone: number
  readonly secondsPrescribed: number | null
  /** Sessions without a figure in the dose's unit: their dose counts as prescribed. */
  readonly sessionsWithoutFigure: number
  /** Their share of the sessions done; null where none was done. */
  readonly shareWithoutFigure: number | null
  readonly byWho: SessionsByWho
}

/** One programme line, or overlapping lines of one client, target and side taken together. */
export interface LineAdherence extends AdherenceFigures, Delivered {
  /** {@link seriesId} of client, target and side. */
  readonly id: string
  readonly client_id: string
  readonly target: Target
  readonly side: Side
  readonly startsOn: Day
  /** The earliest of the line's end, discharge and the as-of day. */
  readonly until: Day
  /** The lines as prescribed; more than one where they overlap. */
  readonly lines: readonly ProgrammeLine[]
  readonly unit: DoseUnit
  /** Delivered and prescribed in `unit`, a session without a figure counted as prescribed; null where the unit changes on the way. */
  readonly amountDelivered: number | null
  readonly amountPrescribed: number | null
  readonly firstSessionOn: Day | null
  /** Days from start to the first session; null: never started. */
  readonly initiationDays: number | null
  /** Longest run of days without a session, at either end too. */
  readonly longestGap: number
}

/** Total prescribed over segments; null where a segment prescribes none. */
export function prescribedOver(
  segments: readonly Segment[],
  perDay: 'repsPerDay' | 'secondsPerDay',
): number | null {
  let total = 0
  for (const s of segments) {
    const one = s[perDay]
    if (one === null) return null
    total += (s.until - s.from + 1) * one
  }
  return total
}

/** Sessions done in some stretches of the programme, by who did them; `not recorded` where the log does not say. */
export function byWhoOf(days: ProgrammeDays, stretches: Iterable<number>): SessionsByWho {
  const counts = { clinician: 0, family: 0, self: 0, 'not recorded': 0 }
  for (const s of stretches)
    WHO.forEach((who, k) => {
      counts[who ?? 'not recorded'] += days.totals.byWho[s * WHO.length + k]!
    })
  return counts
}

/**
 * What some stretches of the programme delivered, together: repetitions, seconds, by whom, and how many sessions had no figure.
 * What was prescribed is null where any of the stretches has no such figure: a part would be taken for the whole.
 */
export function deliveredOf(days: ProgrammeDays, stretches: readonly number[]): Delivered {
  const total = (column: Float64Array): number => stretches.reduce((sum, s) => sum + column[s]!, 0)
  const prescribed = (perDay: 'repsPerDay' | 'secondsPerDay'): number | null => {
    let sum = 0
    for (const s of stretches) {
      const one = prescribedOver(days.stretches[s]!.segments, perDay)
      if (one === null) return null
      sum += one
    }
    return sum
  }
  const sessions = total(days.totals.sessions)
  const without = total(days.totals.withoutFigure)
  return {
    repsDone: total(days.totals.reps),
    repsPrescribed: prescribed('repsPerDay'),
    secondsDone: total(days.totals.seconds),
    secondsPrescribed: prescribed('secondsPerDay'),
    sessionsWithoutFigure: without,
    shareWithoutFigure: sessions > 0 ? without / sessions : null,
    byWho: byWhoOf(days, stretches),
  }
}

function gapsOf(days: ProgrammeDays, s: number): { readonly first: number; readonly longest: number } {
  const from = days.offset[s]!
  const stretch = days.stretches[s]!
  const length = stretch.until - stretch.from + 1
  let first = -1
  let longest = 0
  let gap = 0
  for (let i = 0; i < length; i++) {
    if (days.done[from + i]! > 0) {
      if (first < 0) first = i
      gap = 0
    } else if (++gap > longest) longest = gap
  }
  return { first, longest }
}

function amountsOf(
  days: ProgrammeDays,
  s: number,
): Pick<LineAdherence, 'unit' | 'amountDelivered' | 'amountPrescribed'> {
  const { segments, from, until } = days.stretches[s]!
  const { unit } = segments[0]!
  if (segments.some((g) => g.unit !== unit)) return { unit, amountDelivered: null, amountPrescribed: null }
  return {
    unit,
    amountDelivered: amountOver(days, s, from, until),
    amountPrescribed: segments.reduce((sum, g) => sum + (g.until - g.from + 1) * g.amountPerDay, 0),
  }
}

/** Adherence per programme line, by client, target, side and start. */
export function lineAdherence(days: ProgrammeDays, sums: AdherenceSums): LineAdherence[] {
  return days.stretches.map((stretch, s) => {
    const { first, longest } = gapsOf(days, s)
    return {
      id: seriesId(stretch.client_id, stretch.target, stretch.side),
      client_id: stretch.client_id,
      target: stretch.target,
      side: stretch.side,
      startsOn: stretch.from,
      until: stretch.until,
      lines: stretch.lines,
      ...amountsOf(days, s),
      firstSessionOn: first < 0 ? null : stretch.from + first,
      initiationDays: first < 0 ? null : first,
      longestGap: longest,
      ...figuresOf(sums.perStretch, s),
      ...deliveredOf(days, [s]),
    }
  })
}
