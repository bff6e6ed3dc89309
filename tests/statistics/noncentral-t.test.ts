import { readFileSync } from 'node:fs'
import path from 'node:path'
import t from '@stdlib/stats-base-dists-t'
import { describe, expect, it } from 'vitest'
import { noncentralTCdf } from '../../src/statistics/noncentral-t.ts'
import { noncentralityOf, noncentralTQuantile } from '../../src/statistics/noncentral-t-inverse.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

// R 4.2.2: pt(t, df, ncp), 15 digits; |ncp| ≤ 30, since R's pt gives up above 37.6.
const GRID = readFileSync(path.join(import.meta.dirname, 'noncentral-t.csv'), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(',').map(Number) as [number, number, number, number])

// Guenther's series (Johnson, Kotz and Balakrishnan 1995, equation 31.15) in 100 to 700 digits by mpmath 1.3: t, df, ncp, P(T ≤ t), P(T > t).
const TAILS = [
  [2.5, 3, 30, 3.827889753893531e-63, 1],
  [40, 200, 15, 1, 2.739719193849688e-34],
  [-3, 9, 6, 4.605462031564179e-15, 0.9999999999999954],
  [6, 2, -1, 0.9979576752588634, 0.002042324741136602],
  [200, 5, 2, 0.9999999986811756, 1.318824365478598e-9],
  [12, 29, 0.5, 0.9999999999948957, 5.104194688338269e-12],
  [0.1, 10, 8, 1.388760109440027e-15, 0.9999999999999986],
  [60, 10, 30, 0.9906118458094071, 0.00938815419059293],
] as const

const FRACTIONAL = [
  [-5.7, 1.28, 0.13, 0.0304598083845548],
  [-2, 1.28, 1, 0.0249373568557059],
  [1, 1.5, 0, 0.774432316361645],
  [3, 1.75, 2, 0.610847706601848],
  [-4, 2.32, -6, 0.878292767929646],
  [9, 2.5, 4, 0.856615574365727],
  [2, 7.4, 3, 0.171036859141158],
  [0.5, 33.3, -1, 0.932345189154324],
] as const

const ENDS = [
  [2.1, 9, 0.025, 4.23438238256],
  [2.1, 9, 0.975, -0.126789442683],
  [-6, 7, 0.025, -2.30180543336],
  [-6, 7, 0.975, -9.5918269383],
  [15, 40, 0.05, 18.1503701039],
  [0, 5, 0.5, 0],
  [3.3, 2.4, 0.975, -0.13783569253],
  [-12, 120, 0.005, -8.73592763763],
] as const

const QUANTILES = [
  [0.025, 9, 2.1, 0.142859143878],
  [0.975, 9, 2.1, 5.23992874719],
  [0.95, 3, -4, -2.02391816853],
  [0.5, 2.4, 7, 8.10796381304],
  [0.005, 60, 12, 8.72035011211],
] as const

describe('noncentral t', () => {
  it('agrees with R within 1e-10 over a grid, both tails', () => {
    expect(GRID.length).toBe(504)
    for (const [x, df, ncp, expected] of GRID) {
      const at = `t ${x}, df ${df}, ncp ${ncp}`
      expect(Math.abs(noncentralTCdf(x, df, ncp) - expected), at).toBeLessThan(1e-10)
      expect(Math.abs(noncentralTCdf(x, df, ncp, { upper: true }) - (1 - expected)), at).toBeLessThan(1e-10)
    }
  })

  it.each(TAILS)('keeps 12 digits of either tail at t %f, df %f, ncp %f', (x, df, ncp, lower, upper) => {
    expect(noncentralTCdf(x, df, ncp) / lower).toBeCloseTo(1, 12)
    expect(noncentralTCdf(x, df, ncp, { upper: true }) / upper).toBeCloseTo(1, 12)
  })

  it('is Student t where the noncentrality is 0', () => {
    for (const df of [1, 2, 7.5, 60])
      for (const x of [-40, -2, 0, 0.5, 9]) expect(noncentralTCdf(x, df, 0) / t.cdf(x, df)).toBeCloseTo(1, 11)
  })

  it('agrees with R where the degrees of freedom are no whole number', () => {
    // R 4.2.2: pt(t, df, ncp), 15 digits.
    for (const [x, df, ncp, expected] of FRACTIONAL)
      expect(noncentralTCdf(x, df, ncp), `t ${x}, df ${df}, ncp ${ncp}`).toBeCloseTo(expected, 11)
  })

  it('finds the noncentrality and the quantile again, as R finds them', () => {
    // R 4.2.2: uniroot(\(d) pt(t, df, d) - p, c(-60, 60), tol = 1e-13) and qt(p, df, ncp), 12 digits.
    for (const [x, df, p, ncp] of ENDS)
      expect(noncentralityOf(x, df, p), `${x}, ${df}, ${p}`).toBeCloseTo(ncp, 8)
    for (const [p, df, ncp, x] of QUANTILES)
      expect(noncentralTQuantile(p, df, ncp), `${p}, ${df}, ${ncp}`).toBeCloseTo(x, 7)
  })

  it('gives back the probability it was asked for, in the middle and far out in a tail', () => {
    for (const [x, df, p] of [
      [2.1, 9, 0.025],
      [-3, 20, 0.975],
      [70.7, 199, 0.975],
      [0, 5, 0.5],
      [0, 1.3, 0.025],
      [-46, 1.1, 0.999],
      [8, 12, 1e-7],
    ] as const) {
      expect(noncentralTCdf(x, df, noncentralityOf(x, df, p))).toBeCloseTo(p, 11)
      expect(noncentralTCdf(noncentralTQuantile(p, df, 4), df, 4)).toBeCloseTo(p, 11)
    }
  })

  it('ends at once where t or the tail is beyond all measure', () => {
    // R 4.2.2. At t = 0, P = pnorm(-ncp): -qnorm(1e-20). At ncp = 0 and df = 1 it is Cauchy's: -1 / (pi p) to 20 digits. Where t is large,
    // the normal error is nothing beside it: ncp = t sqrt(qchisq(1 - p, df) / df), and t likewise from ncp.
    const began = performance.now()
    expect(noncentralityOf(0, 5, 1e-20)).toBeCloseTo(9.2623400897984, 10)
    expect(noncentralTQuantile(1e-20, 1, 0) / (-1e20 / Math.PI)).toBeCloseTo(1, 12)
    expect(noncentralityOf(-1e5, 1, 0.4) / -52440.05).toBeCloseTo(1, 7)
    expect(noncentralityOf(1e5, 1, 0.025) / 224140.3).toBeCloseTo(1, 6)
    expect(noncentralityOf(1e8, 3, 0.025) / 176525764).toBeCloseTo(1, 7)
    expect(noncentralTQuantile(0.4, 1, -1e5) / (-1e5 / 0.524400512708041)).toBeCloseTo(1, 7)
    // Without an end to the search and to the rule's length these took nine seconds, or for ever.
    expect(performance.now() - began).toBeLessThan(4000)
  })

  it('ends and refusals', () => {
    expect(noncentralTCdf(Infinity, 3, 1)).toBe(1)
    expect(noncentralTCdf(-Infinity, 3, 1)).toBe(0)
    expect(noncentralTCdf(Infinity, 3, 1, { upper: true })).toBe(0)
    expect(noncentralTCdf(Number.NaN, 3, 1)).toBeNaN()
    for (const df of [0, 0.5, -1, Number.NaN, Infinity])
      expect(() => noncentralTCdf(1, df, 1)).toThrow(CannotEstimate)
    for (const p of [0, 1, Number.NaN]) {
      expect(() => noncentralityOf(1, 3, p)).toThrow(CannotEstimate)
      expect(() => noncentralTQuantile(p, 3, 1)).toThrow(CannotEstimate)
    }
  })
})
