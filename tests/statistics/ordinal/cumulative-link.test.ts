import { readFileSync } from 'node:fs'
import path from 'node:path'
import { describe, expect, test } from 'vitest'
import {
  CannotEstimate,
  cumulativeLinkMixedModel,
  cumulativeLinkModel,
  type OrdinalData,
} from '../../../src/statistics/index.ts'
import { gaussHermite } from '../../../src/statistics/ordinal/gauss-hermite.ts'

/** Randall (1989): bitterness of wine, as shipped with R's ordinal. */
const lines = readFileSync(path.join(import.meta.dirname, '../../reference/data/wine.csv'), 'utf8')
  .trim()
  .split('\n')
const heading = lines[0]!.replaceAll('"', '').split(',')
const cells = lines.slice(1).map((line) => line.replaceAll('"', '').split(','))
const column = (name: string): string[] => cells.map((row) => row[heading.indexOf(name)]!)
const wine = {
  category: column('rating').map(Number),
  fixed: { warm: column('temp_warm').map(Number), contact: column('contact_yes').map(Number) },
  groups: column('judge'),
}

// ordinal 2022.11.16, clm(rating ~ temp + contact, threshold = ..., link = ...), gradTol 1e-12:
// thresholds' parameters, temp, contact, log likelihood.
test.each([
  ['logit', 'symmetric', [2.479862813, 1.508931924, -87.836655053], [0.523802074, 0.471152815]],
  ['logit', 'equidistant', [2.463205174, 1.50799079, -87.864601848], [0.516362137, 0.471217774]],
  ['probit', 'symmetric', [1.49319242, 0.859555027, -87.190843972], [0.289159434, 0.264792374]],
  ['probit', 'equidistant', [1.489138668, 0.857114012, -87.23691967], [0.288248466, 0.264474267]],
] as const)('agrees with clm: %s, %s thresholds', (link, thresholds, [warm, contact, logLikelihood], se) => {
  const fit = cumulativeLinkModel(wine, { link, thresholds })
  expect(fit.converged).toBe(true)
  expect(fit.coefficients[0]!.estimate).toBeCloseTo(warm, 6)
  expect(fit.coefficients[1]!.estimate).toBeCloseTo(contact, 6)
  expect(fit.logLikelihood).toBeCloseTo(logLikelihood, 7)
  expect(fit.coefficients[0]!.se).toBeCloseTo(se[0], 6)
  expect(fit.coefficients[1]!.se).toBeCloseTo(se[1], 6)
})

test('symmetric thresholds are those of clm', () => {
  // central 1.097004214, 3.292264487; spacing 2.068604458.
  const found = cumulativeLinkModel(wine, { thresholds: 'symmetric' }).thresholds.map((t) => t.estimate)
  ;[1.097004214 - 2.068604458, 1.097004214, 3.292264487, 3.292264487 + 2.068604458].forEach((value, j) => {
    expect(found[j]).toBeCloseTo(value, 6)
  })
})

test('agrees with clmm, probit, 15 nodes', () => {
  // clmm(rating ~ temp + contact + (1 | judge), link = "probit", nAGQ = 15), gradTol 1e-8.
  const fit = cumulativeLinkMixedModel(wine, { link: 'probit' })
  const found = [...fit.thresholds, ...fit.coefficients]
  ;[-0.9263254, 0.8893514, 2.4673335, 3.536356, 1.7998722, 1.0481142].forEach((value, j) => {
    expect(found[j]!.estimate).toBeCloseTo(value, 4)
  })
  ;[0.3881042, 0.348433, 0.4467951, 0.5255322, 0.3269123, 0.2855312].forEach((value, j) => {
    expect(found[j]!.se).toBeCloseTo(value, 4)
  })
  expect(fit.randomSd).toBeCloseTo(0.6630288, 4)
  expect(fit.logLikelihood).toBeCloseTo(-80.9312946, 6)
})

test('agrees with clmm, symmetric thresholds', () => {
  const fit = cumulativeLinkMixedModel(wine, { thresholds: 'symmetric' })
  expect(fit.coefficients[0]!.estimate).toBeCloseTo(3.017182, 4)
  expect(fit.coefficients[1]!.estimate).toBeCloseTo(1.796894, 4)
  expect(fit.randomSd).toBeCloseTo(1.112077, 4)
  expect(fit.logLikelihood).toBeCloseTo(-82.9839349, 6)
})

test('the modes of a group lie where its own likelihood is flat', () => {
  // By hand: one row a group, two categories, logit: F(t - u) has its mode where sd² (F - 1 or F) balances u.
  const fit = cumulativeLinkMixedModel(wine, { nodes: 25 })
  expect(fit.conditionalModes.length).toBe(9)
  expect(fit.labels).toEqual([...new Set(wine.groups)])
  const below = (x: number) => 1 / (1 + Math.exp(-x))
  const cuts = [-Infinity, ...fit.thresholds.map((t) => t.estimate), Infinity]
  fit.labels.forEach((label, g) => {
    const logPosterior = (u: number) =>
      wine.category.reduce(
        (sum, y, i) => {
          if (wine.groups[i] !== label) return sum
          const eta =
            fit.coefficients[0]!.estimate * wine.fixed.warm[i]! +
            fit.coefficients[1]!.estimate * wine.fixed.contact[i]! +
            u
          return sum + Math.log(below(cuts[y]! - eta) - below(cuts[y - 1]! - eta))
        },
        -(u * u) / (2 * fit.randomSd ** 2),
      )
    const u = fit.conditionalModes[g]!
    const h = 1e-4
    expect((logPosterior(u + h) - logPosterior(u - h)) / (2 * h)).toBeCloseTo(0, 5)
    const curvature = (2 * logPosterior(u) - logPosterior(u + h) - logPosterior(u - h)) / h ** 2
    expect(fit.conditionalModeVariances[g]! * curvature).toBeCloseTo(1, 4)
  })
})

test('quadrature integrates the moments of the normal distribution', () => {
  for (const n of [1, 2, 7, 15, 41]) {
    const { nodes, weights } = gaussHermite(n)
    let moment = 1
    for (let power = 0; power < Math.min(2 * n, 20); power += 2) {
      if (power > 0) moment *= power - 1
      const found = weights.reduce((sum, w, k) => sum + w * nodes[k]! ** power, 0)
      expect(found / moment).toBeCloseTo(1, 10)
    }
  }
})

describe('edges', () => {
  test('reversed order and reversed categories', () => {
    const a = cumulativeLinkModel(wine)
    const reversed = cumulativeLinkModel({
      category: wine.category.map((y) => 6 - y).reverse(),
      fixed: { warm: [...wine.fixed.warm].reverse(), contact: [...wine.fixed.contact].reverse() },
    })
    expect(reversed.coefficients[0]!.estimate).toBeCloseTo(-a.coefficients[0]!.estimate, 7)
    expect(reversed.thresholds[0]!.estimate).toBeCloseTo(-a.thresholds[3]!.estimate, 7)
  })

  test('two categories without predictors: the logit of the share', () => {
    const fit = cumulativeLinkModel({ category: [0, 0, 0, 1], fixed: {} })
    expect(fit.thresholds[0]!.estimate).toBeCloseTo(Math.log(3), 8)
    // Observed information n p (1 - p).
    expect(fit.thresholds[0]!.se).toBeCloseTo(1 / Math.sqrt(4 * 0.75 * 0.25), 6)
  })

  test('groups that do not differ: no random effect, said so', () => {
    const fit = cumulativeLinkMixedModel({
      category: [0, 1, 2, 0, 1, 2, 0, 1, 2, 0, 1, 2],
      fixed: {},
      groups: ['a', 'a', 'a', 'b', 'b', 'b', 'c', 'c', 'c', 'd', 'd', 'd'],
    })
    expect(fit.singular).toBe(true)
    expect(fit.logRandomSdError).toBeNull()
    expect(fit.logLikelihood).toBeCloseTo(12 * Math.log(1 / 3), 6)
  })

  test('missing is dropped and counted', () => {
    const fit = cumulativeLinkModel({
      category: [null, ...wine.category, 3],
      fixed: { warm: [0, ...wine.fixed.warm, Number.NaN], contact: [0, ...wine.fixed.contact, 1] },
    })
    expect([fit.nObservations, fit.nDropped]).toEqual([72, 2])
  })

  test('a column that separates the categories does not pass for an estimate', () => {
    const fit = cumulativeLinkModel({ category: [0, 0, 0, 1, 1, 1], fixed: { x: [0, 0, 0, 1, 1, 1] } })
    const { se } = fit.coefficients[0]!
    expect(!fit.converged || se === null || se > 100).toBe(true)
  })

  test.each<[string, OrdinalData, RegExp]>([
    ['nothing', { category: [], fixed: {} }, /two categories with observations; found 0/],
    ['one category', { category: [1, 1, 1], fixed: {} }, /found 1/],
    ['all missing', { category: [null, null], fixed: {} }, /found 0/],
    ['texts without an order', { category: ['low', 'high'], fixed: {} }, /levels of texts/],
    [
      'as many rows as parameters',
      { category: [1, 2], fixed: { x: [0, 1] } },
      /more rows than its 2 parameters/,
    ],
    ['columns of unequal length', { category: [1, 2, 3], fixed: { x: [0] } }, /x as of the category \(3\)/],
  ])('says what is missing: %s', (_, data, message) => {
    expect(() => cumulativeLinkModel(data)).toThrow(CannotEstimate)
    expect(() => cumulativeLinkModel(data)).toThrow(message)
  })
})

// A column of another unit and zero is the same model (McCullagh 1980, J R Stat Soc B 42:109-142, section 2): its coefficient is in the
// new unit, and what its zero adds goes to the thresholds.
test.each(['flexible', 'symmetric', 'equidistant'] as const)(
  'neither unit nor zero of a column has a say: %s thresholds',
  (thresholds) => {
    const days = wine.fixed.warm.map((warm, i) => 3 * warm + (i % 5))
    const seconds = days.map((day) => 86_400 * (day + 20_000))
    const fitOf = (time: number[]) =>
      cumulativeLinkMixedModel(
        { ...wine, fixed: { time, contact: wine.fixed.contact } },
        { thresholds, nodes: 15 },
      )
    const inDays = fitOf(days)
    const inSeconds = fitOf(seconds)
    expect(inDays.converged && inSeconds.converged).toBe(true)
    expect(inSeconds.logLikelihood).toBeCloseTo(inDays.logLikelihood, 9)
    const slope = inDays.coefficients[0]!
    expect(inSeconds.coefficients[0]!.estimate * 86_400).toBeCloseTo(slope.estimate, 7)
    expect(inSeconds.coefficients[0]!.se! * 86_400).toBeCloseTo(slope.se!, 5)
    expect(inSeconds.coefficients[1]!.se).toBeCloseTo(inDays.coefficients[1]!.se!, 5)
    inSeconds.thresholds.forEach((t, j) => {
      expect(t.estimate - 20_000 * slope.estimate).toBeCloseTo(inDays.thresholds[j]!.estimate, 4)
    })
  },
)

test('a column that never changes has no standard error', () => {
  const fit = cumulativeLinkModel({ ...wine, fixed: { ...wine.fixed, always: wine.category.map(() => 7) } })
  expect(fit.optimiser.returnCode).not.toBe('gradient zero')
  expect(fit.coefficients[2]!.se).toBeNull()
})
