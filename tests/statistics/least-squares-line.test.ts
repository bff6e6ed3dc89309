import { expect, test } from 'vitest'
import { CannotEstimate, leastSquaresLine } from '../../src/statistics/index.ts'

// R 4.2.2, shipped data set `cars`: coef(summary(lm(dist ~ speed, cars))), confint, sigma.
const speed = [
  4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16,
  17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25,
]
const distance = [
  2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32,
  40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85,
]

test('agrees with lm of R on stopping distances', () => {
  const line = leastSquaresLine(speed, distance)
  expect(line.slope).toBeCloseTo(3.932409, 6)
  expect(line.slopeError).toBeCloseTo(0.4155128, 6)
  expect(line.interval.lower).toBeCloseTo(3.096964, 5)
  expect(line.interval.upper).toBeCloseTo(4.767853, 5)
  expect(line.intercept).toBeCloseTo(-17.57909, 5)
  expect(line.interceptError).toBeCloseTo(6.75844, 5)
  expect(line.residualSd).toBeCloseTo(15.37959, 5)
  expect(line.p! / 1.489836e-12).toBeCloseTo(1, 5)
  expect(line.df).toBe(48)
})

test('a shift of both, a scale and the reverse order change what they should', () => {
  const a = leastSquaresLine(speed, distance)
  const b = leastSquaresLine(
    speed.map((x) => 20000 + 30 * x).reverse(),
    distance.map((y) => 1e5 + 2 * y).reverse(),
  )
  expect(b.slope).toBeCloseTo((2 * a.slope) / 30, 10)
  expect(b.slopeError).toBeCloseTo((2 * a.slopeError!) / 30, 10)
})

test('two points leave nothing to judge the spread by; points on a line have no p-value', () => {
  const two = leastSquaresLine([0, 2], [1, 5])
  expect([two.slope, two.intercept, two.df]).toEqual([2, 1, 0])
  expect(two.interval).toEqual({ lower: null, upper: null, level: 0.95 })
  const exact = leastSquaresLine([0, 1, 2], [1, 1, 1])
  expect([exact.slope, exact.slopeError, exact.p]).toEqual([0, 0, null])
})

test('pairs with a missing half are dropped and counted', () => {
  const line = leastSquaresLine([1, 2, null, 4, 5], [1, 3, 9, Number.NaN, 8])
  expect([line.n, line.nDropped]).toEqual([3, 2])
})

test.each([
  [[], []],
  [[1], [2]],
  [
    [3, 3, 3],
    [1, 2, 3],
  ],
  [
    [null, null],
    [1, 2],
  ],
])('says what is missing for %j', (x, y) => {
  expect(() => leastSquaresLine(x, y)).toThrow(CannotEstimate)
})
