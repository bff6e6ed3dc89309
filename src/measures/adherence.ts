import type { Records } from '../records/index.ts'
import { type ClientAdherence, clientAdherence } from './adherence-clients.ts'
import { type AdherenceFigures, figuresOf, sumOfRows } from './adherence-figures.ts'
import { type Delivered, deliveredOf, type LineAdherence, lineAdherence } from './adherence-lines.ts'
import { type AdherenceSums, adherenceSums } from './adherence-sums.ts'
import { calendarWeeks, programmeWeeks, type WeekAdherence } from './adherence-weeks.ts'
import type { AsOf } from './as-of.ts'
import { type Initiation, initiation, type Persistence, persistence } from './persistence.ts'
import { type ProgrammeDays, programmeDays } from './programme-days.ts'
import { type Exclusion, ExclusionTally, type MeasureResult, measureResult } from './result.ts'
import { type SideRatio, type SideRatioOptions, sideRatios } from './side-ratio.ts'

export interface AdherenceOptions extends AsOf {
  /** Side ratio: days looked at (28) and tolerance (0.25). */
  readonly sideRatio?: SideRatioOptions
}

/** What became of every session row. `read` is the sum of the rest. */
export interface SessionAccount {
  readonly read: number
  readonly onProgramme: number
  readonly offProgramme: number
  readonly afterAsOf: number
  readonly ofUnknownClient: number
}

/** Adherence in full. Unit: the client; lines have an account of their own. */
export interface Adherence extends MeasureResult {
  readonly caseload: AdherenceFigures & Delivered
  readonly lines: readonly LineAdherence[]
  readonly clients: readonly ClientAdherence[]
  readonly calendarWeeks: readonly WeekAdherence[]
  readonly programmeWeeks: readonly WeekAdherence[]
  readonly sideRatios: readonly SideRatio[]
  readonly initiation: Initiation
  readonly persistence: Persistence
  readonly sessions: SessionAccount
  readonly linesRead: number
  readonly linesUsed: number
  readonly linesExcluded: readonly Exclusion[]
  /** The days themselves, for dose over any window ({@link doseOver}) and client weeks ({@link clientWeeks}). */
  readonly days: ProgrammeDays
  readonly sums: AdherenceSums
}

function clientExclusions(records: Records, days: ProgrammeDays): Exclusion[] {
  const used = new Set(days.stretches.map((s) => s.client_id))
  const prescribed = new Set(records.programmes.map((p) => p.client_id))
  const left = new ExclusionTally()
  for (const id of days.programme.clientIds)
    if (!used.has(id))
      left.add(
        prescribed.has(id) ? 'no programme line has a day up to the as-of day' : 'no programme on record',
      )
  return left.list()
}

function assumptionsOf(days: ProgrammeDays, total: Delivered): string[] {
  const said = [
    'A day without any record may be a day without exercise or a day without a diary; both readings are given.',
  ]
  const share = total.shareWithoutFigure
  if (share !== null && share > 0)
    said.push(
      `${total.sessionsWithoutFigure} sessions (${(100 * share).toFixed(1)} %) have no figure and count as prescribed.`,
    )
  const overlapping = days.stretches.filter((s) => s.lines.length > 1).length
  if (overlapping > 0)
    said.push(
      `${overlapping} times lines of one client, target and side overlap: what they prescribe is summed, and each session counts once.`,
    )
  return said
}

/**
 * Adherence per programme line, client, week and caseload (taxonomy: Vrijens et al. 2012, Br J Clin Pharmacol 73:691-705).
 *
 * A line runs from its start to the earliest of its end, the client's discharge and the as-of day, both included. A day's
 * dose fraction is min(1, delivered / prescribed) of repetitions (seconds where no repetitions are prescribed, sessions where neither is, or
 * overlapping lines differ): overdoing one day never pays for another.
 */
export function adherence(records: Records, options: AdherenceOptions): Adherence {
  const days = programmeDays(records, options)
  const sums = adherenceSums(days)
  const clients = clientAdherence(days, sums)
  const total = deliveredOf(days, [...days.stretches.keys()])
  const exclusions = clientExclusions(records, days)
  return {
    ...measureResult({
      measure: 'Adherence',
      asOf: options.asOf,
      unit: 'client',
      enrolled: days.programme.clientIds.length,
      n: clients.length,
      exclusions,
      method: 'counts over programme line-days',
      convention:
        'Per line-day, the dose fraction is min(1, delivered ÷ prescribed). Days in full have all prescribed sessions done, days touched at least one; over-dose is above 1.5 × prescribed. Means are over line-days.',
      assumptions: assumptionsOf(days, total),
      reading: 'description',
    }),
    caseload: { ...figuresOf(sumOfRows(sums.perStretch), 0), ...total },
    lines: lineAdherence(days, sums),
    clients,
    calendarWeeks: calendarWeeks(sums),
    programmeWeeks: programmeWeeks(sums),
    sideRatios: sideRatios(days, options.sideRatio),
    initiation: initiation(clients),
    persistence: persistence(clients, options),
    sessions: {
      read: days.sessionsRead,
      onProgramme: days.totals.sessions.reduce((a, b) => a + b, 0),
      offProgramme: days.sessionsOffProgramme,
      afterAsOf: days.sessionsAfterAsOf,
      ofUnknownClient: days.sessionsOfUnknownClient,
    },
    linesRead: days.programme.linesRead,
    linesUsed: days.programme.linesUsed,
    linesExcluded: days.programme.linesExcluded,
    days,
    sums,
  }
}
