import { describe, expect, it } from 'vitest'
import { caseloadTrajectory } from '../../src/measures/caseload-trajectory.ts'
import { phaseRows } from '../../src/measures/phase-rows.ts'
import { allSeries, seriesId } from '../../src/measures/series.ts'
import { seriesSlopes } from '../../src/measures/series-slopes.ts'
import { nestedComponents } from '../../src/statistics/nested-components.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'
import { seriesKeyOf, simulateCaseload } from './simulate.ts'

describe('the slope of one series', () => {
  // Days 0, 30, 60, 90 after the start; scores 4, 3, 3, 1. Mean day 45, mean score 2.75.
  // Sxy = (-45)(1.25) + (-15)(0.25) + (15)(0.25) + (45)(-1.75) = -135; Sxx = 2 (45² + 15²) = 4500; slope -0.03 a day.
  const records = recordsOf({
    clients: [client('a', '2018-06-15'), client('b', '2018-06-15')],
    assessments: [
      ...scores('a', 'moro', 'midline', [
        ['2024-01-01', 4],
        ['2024-01-31', 3],
        ['2024-03-01', 3],
        ['2024-03-31', 1],
      ]),
      ...scores('b', 'moro', 'midline', [['2024-01-01', 4]]),
      ...scores('b', 'snout', 'midline', [
        ['2024-01-01', 4, 'r1'],
        ['2024-01-01', 3, 'r2'],
        ['2024-01-31', 3],
      ]),
    ],
    programmes: [line('a', 'moro', 'midline', '2024-01-01')],
  })
  const result = seriesSlopes(records, { asOf: on('2024-12-31') })
  const [moro, snout] = result.slopes

  it('is least squares on months', () => {
    if ('notComputed' in moro!.leastSquares) throw new Error(moro!.leastSquares.notComputed)
    expect(moro!.leastSquares.slope).toBeCloseTo(-0.03 * 30.4375, 12)
    expect(moro!.occasions).toBe(4)
    expect(moro!.spanMonths).toBeCloseTo(90 / 30.4375, 12)
  })

  it('is beside it the median of the slopes of all pairs', () => {
    // Per 30 days: -1 (0-30), -0.5 (0-60), -1 (0-90), 0 (30-60), -1 (30-90), -2 (60-90): median -1.
    if ('notComputed' in moro!.theilSen) throw new Error(moro!.theilSen.notComputed)
    expect(moro!.theilSen.slope).toBeCloseTo((-1 * 30.4375) / 30, 12)
  })

  it('takes two raters of a day as one occasion, and gives no interval for two occasions', () => {
    if ('notComputed' in snout!.leastSquares) throw new Error(snout!.leastSquares.notComputed)
    expect(snout!.leastSquares.slope).toBeCloseTo((-0.5 * 30.4375) / 30, 12)
    expect(snout!.leastSquares.interval.lower).toBeNull()
  })

  it('counts the series with one occasion', () => {
    expect(result).toMatchObject({
      enrolled: 3,
      n: 2,
      exclusions: [{ reason: 'fewer than 2 occasions', count: 1 }],
    })
  })
})

describe('variance components of nested series', () => {
  it('are lme4’s (1.1.31, REML, bobyqa to 1e-10): y ~ t + pmax(t, 0) + (1 + t | client) + (1 + t | series)', () => {
    const { records, asOf } = simulateCaseload(5, { clients: 100, reflexesPerClient: 3 })
    const { rows } = phaseRows(
      allSeries(records, { asOf }),
      new Map(records.clients.map((c) => [c.client_id, c])),
      12,
    )
    expect(rows).toHaveLength(3351)
    const fit = nestedComponents({
      design: rows.map((r) => [1, r.months, Math.max(0, r.months)]),
      y: rows.map((r) => r.score),
      time: rows.map((r) => r.months),
      series: rows.map((r) => r.series),
      cluster: rows.map((r) => r.client_id),
    })
    expect(fit.converged).toBe(true)
    expect(fit.remlCriterion).toBeCloseTo(3021.09058068, 5)
    const near = (found: number, expected: number) => expect(found / expected).toBeCloseTo(1, 3)
    near(fit.components.cluster.intercept, 0.17509743477)
    near(fit.components.cluster.slope, 0.00149413405)
    near(fit.components.series.intercept, 0.09819048209)
    near(fit.components.series.slope, 0.00093837885)
    near(fit.components.series.covariance, -0.00121574424)
    near(fit.components.residual, 0.08809793134)
  })
})

describe('the caseload’s course', () => {
  const { records, asOf, trueSlopes, adherence } = simulateCaseload(17, {
    clients: 300,
    before: [1, 1],
    after: [4, 5],
  })
  const result = caseloadTrajectory(records, { asOf })
  if ('notComputed' in result.model) throw new Error(result.model.notComputed)
  const { slope, shrunken, course } = result.model

  it('holds the true mean slope after the start', () => {
    const mean = [...adherence.values()].reduce((a, b) => a + b, 0) / adherence.size
    const truth = -0.03 - (0.12 * mean) / 0.65
    expect(slope.interval.lower!).toBeLessThan(truth)
    expect(slope.interval.upper!).toBeGreaterThan(truth)
  })

  it('holds 93 to 97 % of the series’ own true slopes in their shrunken intervals', () => {
    let held = 0
    for (const { series, interval } of shrunken) {
      expect(series.id).toBe(seriesId(series.client_id, series.reflex, series.side))
      const truth = trueSlopes.get(seriesKeyOf(series.client_id, series.reflex, series.side))!
      if (interval.lower! <= truth && truth <= interval.upper!) held++
    }
    expect(shrunken.length).toBe(result.n)
    expect(held / shrunken.length).toBeGreaterThan(0.93)
    expect(held / shrunken.length).toBeLessThan(0.97)
  })

  it('draws slopes together: their spread is less than that of the slopes one by one', () => {
    const spread = (xs: readonly number[]) => {
      const mean = xs.reduce((a, b) => a + b, 0) / xs.length
      return Math.sqrt(xs.reduce((sum, x) => sum + (x - mean) ** 2, 0) / xs.length)
    }
    const alone = seriesSlopes(records, { asOf }).slopes.map((s) =>
      'notComputed' in s.leastSquares ? 0 : s.leastSquares.slope,
    )
    expect(spread(shrunken.map((s) => s.slope))).toBeLessThan(0.8 * spread(alone))
  })

  it('gives the mean line month by month with a band, and what was scored beside it', () => {
    const zero = course.find((p) => p.month === 0)!
    expect(zero.fitted).toBeCloseTo(
      result.model && 'intercept' in result.model ? result.model.intercept.estimate : 0,
      12,
    )
    for (const point of course) {
      expect(point.band.lower!).toBeLessThan(point.fitted)
      expect(point.band.upper!).toBeGreaterThan(point.fitted)
      if (point.observed === null) expect(point.clients).toBeLessThan(5)
      else expect(Math.abs(point.observed - point.fitted)).toBeLessThan(0.5)
    }
  })

  it('says why where there is nothing to fit', () => {
    const empty = caseloadTrajectory(recordsOf({ clients: [] }), { asOf })
    expect(empty).toMatchObject({ enrolled: 0, n: 0 })
    expect(empty.model).toEqual({
      notComputed: 'The caseload’s course needs 3 clients or more; here there is 0.',
    })
  })
})
