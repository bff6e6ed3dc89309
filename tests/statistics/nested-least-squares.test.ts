import { describe, expect, it } from 'vitest'
import { nestedLeastSquares } from '../../src/statistics/nested-least-squares.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

/** Cluster, series, time, y: 27 rows of an unbalanced design, drawn in R and rounded. */
const ROWS: readonly (readonly [string, string, number, number])[] = [
  ['c1', 'c1s1', -1.2, 2.34],
  ['c1', 'c1s1', 0.5, 2.38],
  ['c1', 'c1s1', 4.4, 1.33],
  ['c1', 'c1s2', -1.2, 2.17],
  ['c1', 'c1s2', 0.5, 1.76],
  ['c1', 'c1s2', 2.2, 1.75],
  ['c1', 'c1s2', 4.4, 0.87],
  ['c2', 'c2s1', 0.8, 2.55],
  ['c2', 'c2s1', 2.5, 2.21],
  ['c2', 'c2s1', 4.7, 1.97],
  ['c2', 'c2s2', -0.9, 2.75],
  ['c2', 'c2s2', 0.8, 2.65],
  ['c2', 'c2s2', 2.5, 2.22],
  ['c3', 'c3s1', -0.6, 1.85],
  ['c3', 'c3s1', 1.1, 1.45],
  ['c3', 'c3s1', 2.8, 0.94],
  ['c3', 'c3s1', 5, 0.66],
  ['c3', 'c3s2', -0.6, 1.27],
  ['c3', 'c3s2', 1.1, 0.89],
  ['c3', 'c3s2', 2.8, 0.6],
  ['c3', 'c3s2', 5, 0.64],
  ['c4', 'c4s1', -0.3, 1.16],
  ['c4', 'c4s1', 1.4, 1.03],
  ['c4', 'c4s1', 3.1, 1.1],
  ['c4', 'c4s1', 5.3, 0.45],
  ['c4', 'c4s2', -0.3, 2.24],
  ['c4', 'c4s2', 5.3, 0.47],
]
const COMPONENTS = {
  cluster: { intercept: 0.25, slope: 0.01, covariance: -0.02 },
  series: { intercept: 0.09, slope: 0.004, covariance: 0.005 },
  residual: 0.1,
}
const rows = {
  design: ROWS.map(([, , t]) => [1, t]),
  y: ROWS.map((r) => r[3]),
  time: ROWS.map((r) => r[2]),
  series: ROWS.map((r) => r[1]),
  cluster: ROWS.map((r) => r[0]),
}

/**
 * Henderson's mixed-model equations solved whole in R 4.2.2: with W = [X Zc Zs], the inverse of W'W / s2 + diag(0, Gc^-1, Gs^-1)
 * is the joint prediction error variance. Series, intercept, its error, slope, its error.
 */
const LINES: readonly (readonly [string, number, number, number, number])[] = [
  ['c1s1', 2.205430549436, 0.179247522625, -0.191366457048, 0.06038779078],
  ['c1s2', 1.977459094177, 0.16699195899, -0.214130983337, 0.059280798002],
  ['c2s1', 2.623056960996, 0.237974524996, -0.157902208126, 0.07351689223],
  ['c2s2', 2.626324107189, 0.182615605336, -0.166668270124, 0.084135519098],
  ['c3s1', 1.572060966415, 0.18400168276, -0.178988917929, 0.058661393823],
  ['c3s2', 1.267097041293, 0.18400168276, -0.166650733446, 0.058661393823],
  ['c4s1', 1.46606508235, 0.195953581711, -0.191402053274, 0.058857438043],
  ['c4s2', 1.831187761026, 0.233481199488, -0.227152058653, 0.059850871399],
]

describe('generalised least squares with nested intercepts and slopes', () => {
  const fitted = nestedLeastSquares(rows, COMPONENTS)

  it('solves Henderson’s equations: coefficients and their covariance', () => {
    expect(fitted.n).toBe(ROWS.length)
    expect(fitted.nClusters).toBe(4)
    for (const [i, value] of [1.94608519536, -0.186782710242].entries())
      expect(fitted.coefficients[i]).toBeCloseTo(value, 10)
    for (const [i, value] of [0.081001804687, -0.00612215746, -0.00612215746, 0.003949939164].entries())
      expect(fitted.modelCovariance[i]).toBeCloseTo(value, 10)
  })

  it('shrinks every series’ line as they do, with their prediction errors', () => {
    expect(fitted.lines).toHaveLength(8)
    for (const [series, intercept, interceptError, slope, slopeError] of LINES) {
      const line = fitted.lines.find((l) => l.series === series)!
      expect(line.intercept).toBeCloseTo(intercept, 10)
      expect(line.interceptError).toBeCloseTo(interceptError, 10)
      expect(line.slope).toBeCloseTo(slope, 10)
      expect(line.slopeError).toBeCloseTo(slopeError, 10)
    }
  })

  it('is ordinary least squares where nothing varies between series', () => {
    const none = { intercept: 0, slope: 0, covariance: 0 }
    const plain = nestedLeastSquares(
      {
        design: [
          [1, 0],
          [1, 1],
          [1, 2],
        ],
        y: [1, 3, 5],
        time: [0, 1, 2],
        series: ['a', 'b', 'c'],
        cluster: ['a', 'b', 'c'],
      },
      { cluster: none, series: none, residual: 1 },
    )
    expect(plain.coefficients[0]).toBeCloseTo(1, 12)
    expect(plain.coefficients[1]).toBeCloseTo(2, 12)
    expect(plain.lines.map((l) => l.slope)).toEqual([
      plain.coefficients[1],
      plain.coefficients[1],
      plain.coefficients[1],
    ])
  })

  it('refuses a design that is not of full rank, and no rows', () => {
    expect(() => nestedLeastSquares({ ...rows, design: ROWS.map(() => [1, 1]) }, COMPONENTS)).toThrow(
      CannotEstimate,
    )
    expect(() =>
      nestedLeastSquares({ design: [], y: [], time: [], series: [], cluster: [] }, COMPONENTS),
    ).toThrow(CannotEstimate)
  })
})
