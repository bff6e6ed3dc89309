import {
  type CaseloadTrajectory,
  type ClientCase,
  COMMON_SCALE,
  type DoseResponse,
  doubleScorings,
  type FunnelResult,
  type HorizonChange,
  isComputed,
  type RaterAgreement,
  type Reactions,
  type Series,
  type SeriesStatus,
  type TimeToIntegration,
} from '../measures/index.ts'
import { DAYS_PER_MONTH, type Day, type Reflex, type Target } from '../records/index.ts'
import { adherenceCalendarChart } from './adherence-calendar.ts'
import { agreementChart } from './agreement.ts'
import { beforeAndAfterChart } from './before-and-after.ts'
import type { Chart } from './chart.ts'
import { type ClientTimelineData, clientTimelineChart } from './client-timeline.ts'
import { courseChart } from './course.ts'
import { coursesChart } from './courses.ts'
import { type DeliveredRow, deliveredAgainstPrescribedChart } from './delivered-against-prescribed.ts'
import { doseAndResponseChart } from './dose-and-response.ts'
import { funnelChart } from './funnel.ts'
import { leftAgainstRightChart } from './left-against-right.ts'
import { reactionsByStimulusChart } from './reactions-by-stimulus.ts'
import { startToLatestChart } from './start-to-latest.ts'
import { timeToIntegrationChart } from './time-to-integration.ts'
import { BY_CALENDAR, type Clock, daysFrom } from './words.ts'

/** Standardised change by reflex at a horizon. */
export const beforeAndAfterOf = (change: HorizonChange): Chart =>
  beforeAndAfterChart(
    change.byReflex.map((r) => {
      const effect = isComputed(r.effect) ? r.effect : null
      return {
        reflex: r.label as Reflex,
        n: r.clients,
        hedgesG: effect?.hedgesG ?? null,
        lower: effect?.hedgesGInterval.lower ?? null,
        upper: effect?.hedgesGInterval.upper ?? null,
      }
    }),
    { horizon: change.horizon.label },
  )

/** Severity at baseline against severity at follow-up, by client and reflex. */
export function startToLatestOf(change: HorizonChange): Chart {
  const byPair = new Map<
    string,
    { client_id: string; reflex: Reflex; baseline: number; latest: number; n: number }
  >()
  for (const p of change.pairs) {
    const key = JSON.stringify([p.client.client_id, p.reflex])
    const cell = byPair.get(key) ?? {
      client_id: p.client.client_id,
      reflex: p.reflex,
      baseline: 0,
      latest: 0,
      n: 0,
    }
    cell.baseline += p.baseline / COMMON_SCALE
    cell.latest += p.followUp / COMMON_SCALE
    cell.n++
    byPair.set(key, cell)
  }
  return startToLatestChart(
    [...byPair.values()].map(({ n, baseline, latest, ...who }) => ({
      ...who,
      baseline: baseline / n,
      latest: latest / n,
    })),
  )
}

/** Every series from the start of its programme, with the mean course of the caseload where the model gives one. */
export function coursesOf(series: readonly Series[], trajectory: CaseloadTrajectory): Chart {
  const started = series.filter((s) => s.start !== null)
  const course = isComputed(trajectory.model) ? trajectory.model.course : []
  return coursesChart({
    occasions: started.flatMap((s) =>
      s.occasions.map((o) => ({
        client_id: s.client_id,
        reflex: s.reflex,
        side: s.side,
        months: (o.day - s.start!) / DAYS_PER_MONTH,
        severity: o.severity,
      })),
    ),
    mean: course.map((p) => ({
      months: p.month,
      fit: inScale(p.fitted),
      lower: inScale(p.band.lower ?? p.fitted),
      upper: inScale(p.band.upper ?? p.fitted),
    })),
  })
}

/** Points of the common scale as severity, held within the scale: a line does not know of the floor. */
const inScale = (points: number): number => Math.min(1, Math.max(0, points / COMMON_SCALE))

/** Turnbull's estimate of the time to integration, by reflex. */
export const timeToIntegrationOf = (times: TimeToIntegration): Chart =>
  timeToIntegrationChart(
    times.reflexes.flatMap((r) => {
      if (!isComputed(r.estimate)) return []
      const { intervals } = r.estimate.estimate
      const finite = intervals.filter((i) => Number.isFinite(i.right))
      return [
        {
          reflex: r.reflex,
          n: r.series,
          integrated: r.integrated,
          steps: finite.map((i) => ({
            from: i.left,
            to: i.right,
            before: 1 - (i.cumulative - i.mass),
            after: 1 - i.cumulative,
          })),
          until: Math.max(0, ...intervals.map((i) => (Number.isFinite(i.right) ? i.right : i.left))),
          medianDays: isComputed(r.median) && Number.isFinite(r.median.right) ? r.median.right : null,
        },
      ]
    }),
  )

/** Reactions per 1,000 sessions asked, by stimulus. */
export const reactionsOf = (found: Reactions): Chart =>
  reactionsByStimulusChart(found.byStimulus.filter((s) => s.asked > 0))

/** Change in a month against the month's dose, in severity. */
export function doseAndResponseOf(response: DoseResponse): Chart {
  const points = response.intervals.map((i) => ({
    client_id: i.series.client_id,
    dose: i.dose,
    change: i.changePerMonth / COMMON_SCALE,
  }))
  if (!isComputed(response.model)) return doseAndResponseChart(points, [])
  const { within, between, atMeanDose, meanDose, doseSdWithin, doseSdBetween } = response.model
  const line = (part: 'within a client' | 'between clients', slope: typeof within, sd: number) => {
    const at = (dose: number) => ({
      dose,
      change: (atMeanDose.estimate + slope.estimate * (dose - meanDose)) / COMMON_SCALE,
    })
    return {
      part,
      slope: slope.estimate / COMMON_SCALE,
      lower: slope.interval.lower === null ? null : slope.interval.lower / COMMON_SCALE,
      upper: slope.interval.upper === null ? null : slope.interval.upper / COMMON_SCALE,
      from: at(Math.max(0, meanDose - 1.5 * sd)),
      to: at(Math.min(1, meanDose + 1.5 * sd)),
    }
  }
  return doseAndResponseChart(points, [
    line('within a client', within, doseSdWithin),
    line('between clients', between, doseSdBetween),
  ])
}

/** All double scorings, with the limits of the rater pair that has most of them. */
export function agreementOfRaters(series: readonly Series[], agreement: RaterAgreement): Chart {
  const pairs = doubleScorings(series).map((d) => ({ first: d.severities[0], second: d.severities[1] }))
  const most = agreement.rows.toSorted((a, b) => b.pairs - a.pairs)[0]
  const limits = most && isComputed(most.blandAltman) ? most.blandAltman : null
  const kappa = most && isComputed(most.kappa) ? most.kappa : null
  return agreementChart({
    pairs,
    bias: limits === null ? null : limits.bias / COMMON_SCALE,
    lowerLimit: limits === null ? null : limits.lowerLimit / COMMON_SCALE,
    upperLimit: limits === null ? null : limits.upperLimit / COMMON_SCALE,
    kappa: kappa && { estimate: kappa.estimate, lower: kappa.interval.lower, upper: kappa.interval.upper },
  })
}

/** Everything about one client on one axis; in days from a start where no date may be shown. */
export const timelineOf = ({ timeline }: ClientCase, from: Day | null = null): Chart =>
  clientTimelineChart(
    {
      lines: timeline.lines,
      intensities: timeline.intensities,
      scores: timeline.scores,
      reactions: timeline.reactions.map((r) => ({ day: r.day, reaction: r.reaction })),
    } satisfies ClientTimelineData,
    clockFrom(from),
  )

const clockFrom = (from: Day | null): Clock => (from === null ? BY_CALENDAR : daysFrom(from))

/** Each day of one client's programme. */
export const calendarOf = ({ timeline }: ClientCase, from: Day | null = null): Chart =>
  adherenceCalendarChart(timeline.days, { from })

/** Both sides of one client's reflexes over time. */
export const sidesOf = ({ asymmetries }: ClientCase, from: Day | null = null): Chart =>
  leftAgainstRightChart(
    asymmetries.flatMap((a) => a.occasions.filter((o) => o.left !== null || o.right !== null)),
    clockFrom(from),
  )

/** What was prescribed and what was logged for one client, by target and side. */
export function deliveredOfClient({ lines }: ClientCase): Chart {
  const rows = new Map<string, DeliveredRow & { prescribed: number; delivered: number }>()
  for (const line of lines) {
    const { target, side, unit, amountPrescribed, amountDelivered } = line
    if (unit === 'sessions' || amountPrescribed === null || amountDelivered === null) continue
    const key = JSON.stringify([target, side, unit])
    const row = rows.get(key) ?? {
      target: target as Target,
      side,
      unit: unit === 'reps' ? ('repetitions' as const) : ('seconds' as const),
      prescribed: 0,
      delivered: 0,
    }
    row.prescribed += amountPrescribed
    row.delivered += amountDelivered
    rows.set(key, row)
  }
  return deliveredAgainstPrescribedChart([...rows.values()])
}

/** The course of one series. */
export const seriesCourseOf = ({ series, status }: SeriesStatus, from: Day | null = null): Chart =>
  courseChart(
    {
      reflex: series.reflex,
      side: series.side,
      scaleMax: series.scaleMax,
      occasions: series.occasions,
      programmeStart: series.start,
      status,
    },
    clockFrom(from),
  )

/** Reliable improvement by clinician or site, or the sentence that says why there is no such figure. */
export const funnelOf = ({ funnel, by }: FunnelResult): Chart | string =>
  isComputed(funnel)
    ? funnelChart(funnel.points, funnel.limits, { overall: funnel.overall, by })
    : funnel.notComputed
