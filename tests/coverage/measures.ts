import { beforeAndAfter } from '../../src/measures/before-and-after.ts'
import { caseloadTrajectory } from '../../src/measures/caseload-trajectory.ts'
import { phaseDesign } from '../../src/measures/phase-design.ts'
import { linearPhase, phaseModel } from '../../src/measures/phase-model.ts'
import { phaseRows } from '../../src/measures/phase-rows.ts'
import { allSeries } from '../../src/measures/series.ts'
import { sideOfZero, slopeEstimate } from '../../src/measures/slope-estimate.ts'
import { timeToIntegration } from '../../src/measures/time-to-integration.ts'
import { nestedComponents } from '../../src/statistics/nested-components.ts'
import { nestedLeastSquares } from '../../src/statistics/nested-least-squares.ts'
import {
  type CaseloadModel,
  NO_EFFECT_MODEL,
  type SimulatedCaseload,
  seriesKeyOf,
  simulateCaseload,
} from '../measures/simulate.ts'
import { type Coverage, type CoverageStudy, HOLDS, holds } from './study.ts'

/** At most 35 of 500 caseloads without an effect may be reported as a difference at the 5 % level. */
const NO_EFFECT_RUNS = 500
const NO_EFFECT_ALLOWED: readonly [number, number] = [465 / 500, 1]

/** A difference that the slopes of the plain two-slope model give: no steps at the occasions that were picked, no age. */
function plainDifference({ records, asOf }: SimulatedCaseload): -1 | 0 | 1 {
  const clients = new Map(records.clients.map((c) => [c.client_id, c]))
  const { rows } = phaseRows(allSeries(records, { asOf }), clients, 12)
  const nested = {
    design: rows.map((r) => [1, r.months, Math.max(r.months, 0)]),
    y: rows.map((r) => r.score),
    time: rows.map((r) => r.months),
    series: rows.map((r) => r.series),
    cluster: rows.map((r) => r.client_id),
  }
  const solved = nestedLeastSquares(nested, nestedComponents(nested).components, { predictions: false })
  const error = Math.sqrt(solved.modelCovariance[8]!)
  return sideOfZero(slopeEstimate(solved.coefficients[2]!, error, solved.nClusters - 3, 0.95).interval)
}

/** Caseloads without an effect that are not reported as a difference, and beside them what a plain model would do. */
function noEffect(what: string, changes: Partial<CaseloadModel>, runs: number): Coverage[] {
  let quiet = 0
  let plainQuiet = 0
  for (let seed = 1; seed <= runs; seed++) {
    const simulated = simulateCaseload(seed, { ...NO_EFFECT_MODEL, ...changes })
    const { verdict } = phaseModel(simulated.records, { asOf: simulated.asOf })
    if (verdict !== 'steeper fall after the start' && verdict !== 'less steep fall after the start') quiet++
    if (plainDifference(simulated) === 0) plainQuiet++
  }
  return [
    {
      what: `no effect, not reported: ${what}`,
      covered: quiet,
      simulations: runs,
      expected: NO_EFFECT_ALLOWED,
    },
    {
      what: `the same by a plain two-slope model, for comparison: ${what}`,
      covered: plainQuiet,
      simulations: runs,
      expected: null,
    },
  ]
}

export const noEffectStudy: CoverageStudy = {
  name: 'A programme that does nothing',
  run: () => [
    ...noEffect('growth slows with age, high scores bring families in', {}, NO_EFFECT_RUNS),
    ...noEffect(
      'only high scores at the baseline bring families in, and the floor is near',
      { takenOnBy: 'baseline', level: 1.4, growthPerMonth: -0.09, growthCurve: () => 0 },
      200,
    ),
  ],
}

const meanOf = (xs: Iterable<number>): number => {
  const all = [...xs]
  return all.reduce((a, b) => a + b, 0) / all.length
}

/** True slopes, differences and changes of a known model inside their intervals. Children are redrawn each time. */
function known(runs: number): Coverage[] {
  const covered = { slope: 0, difference: 0, change: 0, series: 0, nSeries: 0 }
  for (let seed = 1; seed <= runs; seed++) {
    const { records, asOf } = simulateCaseload(1000 + seed, { clients: 100, before: [2, 4] })
    // Truth of the population: mean adherence 0.65, so -0.12 a month.
    const clients = new Map(records.clients.map((c) => [c.client_id, c]))
    const data = phaseRows(allSeries(records, { asOf }), clients, 12)
    if (holds(linearPhase(data.rows, phaseDesign(data), 0.95).difference.interval, -0.12))
      covered.difference++
    const after = simulateCaseload(5000 + seed, { clients: 100, before: [1, 1], after: [4, 5] })
    const { model } = caseloadTrajectory(after.records, { asOf: after.asOf })
    if ('notComputed' in model) continue
    if (holds(model.slope.interval, -0.15)) covered.slope++
    for (const { series, interval } of model.shrunken) {
      covered.nSeries++
      const truth = after.trueSlopes.get(seriesKeyOf(series.client_id, series.reflex, series.side))!
      if (holds(interval, truth)) covered.series++
    }
    const { pairs, overall } = beforeAndAfter(records, { asOf, draws: 99 }).horizons.weeks12
    const expected = meanOf(
      pairs.map((p) => (-0.03 * (p.followUpOn - p.baselineOn) - 0.12 * (p.followUpOn - p.start)) / 30.4375),
    )
    if (!('notComputed' in overall.mixedModel) && holds(overall.mixedModel.change.interval, expected))
      covered.change++
  }
  const of = (what: string, count: number, simulations = runs): Coverage => ({
    what,
    covered: count,
    simulations,
    expected: HOLDS,
  })
  return [
    of('difference of slopes, phase model', covered.difference),
    of('mean slope of the caseload', covered.slope),
    of('shrunken slopes of series', covered.series, covered.nSeries),
    of('change over 12 weeks, mixed model', covered.change),
  ]
}

/** Median time to integration: the interval errs to the wide side, as its docstring says. */
function medians(clients: number, runs: number, expected: Coverage['expected']): Coverage[] {
  let covered = 0
  let count = 0
  for (let seed = 1; seed <= runs; seed++) {
    const { records, asOf } = simulateCaseload(9000 + seed, {
      clients,
      reflexesPerClient: 3,
      level: 2.4,
      growthPerMonth: -0.4,
      effectPerMonth: 0,
      clientSlopeSd: 0,
      seriesSlopeSd: 0,
      errorSd: 0,
      written: 'graded',
      after: [7, 8],
    })
    // Latent scores reach one half after (2.4 - 0.5) / 0.4 months in the median, for their spread is symmetric.
    for (const { median } of timeToIntegration(records, { asOf, draws: 199 }).reflexes) {
      if ('notComputed' in median) continue
      count++
      if (holds(median.interval, ((2.4 - 0.5) / 0.4) * 30.4375)) covered++
    }
  }
  const what = `median time to integration, ${clients / 4} clients a reflex`
  return [{ what, covered, simulations: count, expected }]
}

export const measuresStudy: CoverageStudy = {
  name: 'Measures of a caseload from a known model',
  run: () => [...known(500), ...medians(160, 30, [0.93, 1]), ...medians(40, 30, null)],
}
