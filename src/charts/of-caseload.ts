import {
  type CaseloadTrajectory,
  COMMON_SCALE,
  type DoseResponse,
  doubleScorings,
  type FunnelResult,
  type HorizonChange,
  isComputed,
  type RaterAgreement,
  type Reactions,
  type Series,
  type TimeToIntegration,
} from '../measures/index.ts'
import { DAYS_PER_MONTH, type Reflex } from '../records/index.ts'
import { agreementChart } from './agreement.ts'
import { beforeAndAfterChart } from './before-and-after.ts'
import type { Chart } from './chart.ts'
import { coursesChart } from './courses.ts'
import { type DoseResponseLine, doseAndResponseChart } from './dose-and-response.ts'
import { funnelChart } from './funnel.ts'
import { reactionsByStimulusChart } from './reactions-by-stimulus.ts'
import { startToLatestChart } from './start-to-latest.ts'
import { type IntegrationCurve, timeToIntegrationChart } from './time-to-integration.ts'

/** Points of the common scale as severity, from 0 to 1. */
const severityOf = (points: number): number => points / COMMON_SCALE

/** The same of a line, which does not know of the floor: held within the scale. */
const severityWithin = (points: number): number => Math.min(1, Math.max(0, severityOf(points)))

/** Standardised change (Hedges' g with its interval) by reflex at a horizon; a reflex whose g could not be estimated stands without one. */
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

/** Severity at baseline against severity at follow-up, a point a client and reflex: the mean of its sides. */
export function startToLatestOf(change: HorizonChange): Chart {
  const byPoint = new Map<string, HorizonChange['pairs'][number][]>()
  for (const pair of change.pairs) {
    const key = JSON.stringify([pair.client.client_id, pair.reflex])
    const sides = byPoint.get(key)
    if (sides === undefined) byPoint.set(key, [pair])
    else sides.push(pair)
  }
  return startToLatestChart(
    [...byPoint.values()].map((sides) => {
      const { client, reflex } = sides[0]!
      const mean = (points: readonly number[]): number =>
        points.reduce((sum, p) => sum + severityOf(p), 0) / points.length
      return {
        client_id: client.client_id,
        reflex,
        baseline: mean(sides.map((p) => p.baseline)),
        latest: mean(sides.map((p) => p.followUp)),
      }
    }),
  )
}

/**
 * Every series from the start of its programme, in months and severity, with the mean course of the caseload where the model
 * gives one. Series without a programme are left out.
 */
export function coursesOf(series: readonly Series[], trajectory: CaseloadTrajectory): Chart {
  const course = isComputed(trajectory.model) ? trajectory.model.course : []
  return coursesChart({
    occasions: series.flatMap(({ client_id, reflex, side, start, occasions }) =>
      start === null
        ? []
        : occasions.map(({ day, severity }) => ({
            client_id,
            reflex,
            side,
            months: (day - start) / DAYS_PER_MONTH,
            severity,
          })),
    ),
    mean: course.map(({ month, fitted, band }) => ({
      months: month,
      fit: severityWithin(fitted),
      lower: severityWithin(band.lower ?? fitted),
      upper: severityWithin(band.upper ?? fitted),
    })),
  })
}

/** Turnbull's estimate of the days to integration, by reflex; reflexes for which there is none are left out. */
export const timeToIntegrationOf = (times: TimeToIntegration): Chart =>
  timeToIntegrationChart(times.reflexes.flatMap((reflex) => integrationCurve(reflex) ?? []))

function integrationCurve(r: TimeToIntegration['reflexes'][number]): IntegrationCurve | null {
  if (!isComputed(r.estimate)) return null
  const { intervals } = r.estimate.estimate
  return {
    reflex: r.reflex,
    n: r.series,
    integrated: r.integrated,
    steps: intervals
      .filter((i) => Number.isFinite(i.right))
      .map((i) => ({
        from: i.left,
        to: i.right,
        before: 1 - (i.cumulative - i.mass),
        after: 1 - i.cumulative,
      })),
    until: Math.max(0, ...intervals.map((i) => (Number.isFinite(i.right) ? i.right : i.left))),
    medianDays: isComputed(r.median) && Number.isFinite(r.median.right) ? r.median.right : null,
  }
}

/** Reactions per 1,000 sessions asked, by stimulus; stimuli at which nobody was asked are left out. */
export const reactionsOf = (found: Reactions): Chart =>
  reactionsByStimulusChart(found.byStimulus.filter((s) => s.asked > 0))

/** Change of severity in a month against the month's dose, with both slopes of the model where there is one. */
export function doseAndResponseOf(response: DoseResponse): Chart {
  const points = response.intervals.map((i) => ({
    client_id: i.series.client_id,
    dose: i.dose,
    change: severityOf(i.changePerMonth),
  }))
  return doseAndResponseChart(points, isComputed(response.model) ? doseLines(response.model) : [])
}

type DoseModel = Exclude<DoseResponse['model'], { readonly notComputed: string }>

function doseLines(model: DoseModel): DoseResponseLine[] {
  const { within, between, atMeanDose, meanDose, doseSdWithin, doseSdBetween } = model
  const line = (part: DoseResponseLine['part'], slope: DoseModel['within'], sd: number): DoseResponseLine => {
    const at = (dose: number) => ({
      dose,
      change: severityOf(atMeanDose.estimate + slope.estimate * (dose - meanDose)),
    })
    const { lower, upper } = slope.interval
    return {
      part,
      slope: severityOf(slope.estimate),
      lower: lower === null ? null : severityOf(lower),
      upper: upper === null ? null : severityOf(upper),
      // As far as doses commonly go: a line beyond the data would show what nobody has seen.
      from: at(Math.max(0, meanDose - 1.5 * sd)),
      to: at(Math.min(1, meanDose + 1.5 * sd)),
    }
  }
  return [line('within a client', within, doseSdWithin), line('between clients', between, doseSdBetween)]
}

/** All double scorings in severity, with the limits of agreement and weighted kappa of the pair of raters that has most of them. */
export function agreementOfRaters(series: readonly Series[], agreement: RaterAgreement): Chart {
  const pairs = doubleScorings(series).map((d) => ({ first: d.severities[0], second: d.severities[1] }))
  const most = agreement.rows.toSorted((a, b) => b.pairs - a.pairs)[0]
  const limits = most && isComputed(most.blandAltman) ? most.blandAltman : null
  const kappa = most && isComputed(most.kappa) ? most.kappa : null
  return agreementChart({
    pairs,
    bias: limits && severityOf(limits.bias),
    lowerLimit: limits && severityOf(limits.lowerLimit),
    upperLimit: limits && severityOf(limits.upperLimit),
    kappa: kappa && { estimate: kappa.estimate, lower: kappa.interval.lower, upper: kappa.interval.upper },
  })
}

/** Reliable improvement by clinician or site, or the sentence that says why there is no such figure. */
export const funnelOf = ({ funnel, by }: FunnelResult): Chart | string =>
  isComputed(funnel)
    ? funnelChart(funnel.points, funnel.limits, { overall: funnel.overall, by })
    : funnel.notComputed
