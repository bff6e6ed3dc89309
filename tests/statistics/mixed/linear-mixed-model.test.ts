import { readFileSync } from 'node:fs'
import path from 'node:path'
import { describe, expect, test } from 'vitest'
import {
  CannotEstimate,
  likelihoodRatioTest,
  linearMixedModel,
  linearMixedModelFromSums,
  type MixedModelData,
  type MixedModelOptions,
  predictMixedModel,
} from '../../../src/statistics/index.ts'

/** Fits by lme4 1.1.31 and lmerTest 3.1.3; make-lme4-cases.R beside this file wrote them. */
interface Lme4Case {
  readonly name: string
  readonly model: MixedModelOptions
  readonly REML: boolean
  readonly data: {
    readonly y: number[]
    readonly t?: number[]
    readonly client: string[]
    readonly series?: string[]
  }
  readonly singular: boolean
  readonly fixed: number | number[]
  readonly se: number | number[]
  readonly df: number | number[]
  readonly covariances: Readonly<Record<string, (number | number[])[] | number>>
  readonly residual: number
  readonly logLik: number
  readonly ranef: Readonly<Record<string, { readonly labels: string[]; readonly values: number[][] }>>
  readonly profile?: number[][]
}
const CASES = JSON.parse(
  readFileSync(path.join(import.meta.dirname, 'lme4-cases.json'), 'utf8'),
) as Lme4Case[]

function dataOf({ data, model }: Lme4Case): MixedModelData {
  const fixed: MixedModelData['fixed'] = data.t === undefined ? {} : { t: data.t }
  return model.outerRandom === undefined
    ? { y: data.y, fixed, groups: data.client }
    : { y: data.y, fixed, groups: data.series!, outerGroups: data.client }
}

const fitOf = (one: Lme4Case, options: MixedModelOptions = {}) =>
  linearMixedModel(dataOf(one), {
    ...one.model,
    outerCorrelated: one.model.correlated ?? true,
    estimation: one.REML ? 'REML' : 'ML',
    ...options,
  })

const close = (found: number, expected: number, relative: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(relative * Math.max(Math.abs(expected), 0.01))

describe('agrees with lme4', () => {
  test.each(CASES.map((one) => [one.name, one] as const))('%s', (_, one) => {
    const fit = fitOf(one)
    expect(fit.converged).toBe(true)
    expect(fit.singular).toBe(one.singular)
    close(fit.logLikelihood, one.logLik, 1e-8)
    close(fit.residualSd, one.residual, 1e-4)
    const se = [one.se].flat()
    const df = [one.df].flat()
    ;[one.fixed].flat().forEach((estimate, j) => {
      close(fit.fixed[j]!.estimate, estimate, 1e-4)
      close(fit.fixed[j]!.se, se[j]!, 2e-4)
      if (!one.singular) close(fit.fixed[j]!.df, df[j]!, 2e-3)
    })
    const innermost = Object.entries(one.ranef).find(([level]) => level.includes(':'))
    if (innermost !== undefined && one.model.correlated === undefined) {
      const [, { labels, values }] = innermost
      const outer = fit.groupEffects[1]!.labels
      fit.groupEffects[0]!.labels.forEach((label, g) => {
        const client = outer[fit.working.outerOf![g]!]
        const row = labels.findIndex((l) => l === `${client}:${label}` || l === `${label}:${client}`)
        values[row]!.forEach((value, k) => {
          expect(fit.groupEffects[0]!.effects[k]!.estimate[g]!).toBeCloseTo(value, 3)
        })
      })
    }
  })

  test.each(CASES.filter((one) => one.profile !== undefined).map((one) => [one.name, one] as const))(
    'profile intervals: %s',
    (_, one) => {
      const fit = fitOf(one, { interval: 'profile' })
      one.profile!.forEach(([lower, upper], j) => {
        // lme4 interpolates its profile by splines.
        close(fit.fixed[j]!.interval.lower!, lower!, 2e-3)
        close(fit.fixed[j]!.interval.upper!, upper!, 2e-3)
      })
    },
  )
})

/** Y, X, Z and G written out in full: predictions and their error from Henderson's mixed model equations, solved by elimination. */
function henderson(one: Lme4Case) {
  const fit = fitOf(one)
  const { y, t, client, series } = one.data
  const s2 = fit.residualSd ** 2
  const groups = fit.groupEffects
  const levels = fit.random.map(({ columns, covariance }, l) => ({
    columns,
    covariance,
    labels: groups[l]!.labels,
  }))
  const width = 2 + levels.reduce((sum, l) => sum + l.columns.length * l.labels.length, 0)
  const offsets = levels.map((_, l) =>
    levels.slice(0, l).reduce((sum, m) => sum + m.columns.length * m.labels.length, 2),
  )
  const placeOf = (i: number) => {
    const o = levels[1]!.labels.indexOf(client[i]!)
    const g = levels[0]!.labels.findIndex((label, k) => label === series![i] && fit.working.outerOf![k] === o)
    return [g, o]
  }
  const w = y.map((_, i) => {
    const row = new Array<number>(width).fill(0)
    row[0] = 1
    row[1] = t![i]!
    placeOf(i).forEach((g, l) => {
      levels[l]!.columns.forEach((name, k) => {
        row[offsets[l]! + g * levels[l]!.columns.length + k] = name === '(Intercept)' ? 1 : t![i]!
      })
    })
    return row
  })
  const c = Array.from({ length: width }, (_, a) =>
    Array.from({ length: width }, (_, b) => w.reduce((sum, row) => sum + row[a]! * row[b]!, 0) / s2),
  )
  levels.forEach(({ columns, covariance, labels }, l) => {
    const q = columns.length
    const inverse =
      q === 1
        ? [[1 / covariance[0]![0]!]]
        : (() => {
            const [[a, b], [, d]] = covariance as [[number, number], [number, number]]
            const det = a * d - b * b
            return [
              [d / det, -b / det],
              [-b / det, a / det],
            ]
          })()
    for (let g = 0; g < labels.length; g++)
      for (let i = 0; i < q; i++)
        for (let j = 0; j < q; j++) c[offsets[l]! + g * q + i]![offsets[l]! + g * q + j]! += inverse[i]![j]!
  })
  const right = Array.from(
    { length: width },
    (_, a) => w.reduce((sum, row, i) => sum + row[a]! * y[i]!, 0) / s2,
  )
  return { fit, w, c, right, placeOf }
}

function solve(matrix: number[][], right: readonly number[]): number[] {
  const a = matrix.map((row, i) => [...row, right[i]!])
  const n = a.length
  for (let k = 0; k < n; k++)
    for (let i = k + 1; i < n; i++) {
      const f = a[i]![k]! / a[k]![k]!
      for (let j = k; j <= n; j++) a[i]![j]! -= f * a[k]![j]!
    }
  const x = new Array<number>(n).fill(0)
  for (let i = n - 1; i >= 0; i--) {
    let sum = a[i]![n]!
    for (let j = i + 1; j < n; j++) sum -= a[i]![j]! * x[j]!
    x[i] = sum / a[i]![i]!
  }
  return x
}

test.each(["series' slopes within clients' intercepts", 'slopes at both levels'])(
  "predictions and their errors are those of Henderson's equations: %s",
  (name) => {
    const one = CASES.find((c) => c.name === name)!
    const { fit, w, c, right } = henderson(one)
    const solution = solve(c, right)
    for (const i of [0, 17, 60]) {
      const expected = w[i]!.reduce((sum, value, k) => sum + value * solution[k]!, 0)
      const solved = solve(c, w[i]!)
      const variance = w[i]!.reduce((sum, value, k) => sum + value * solved[k]!, 0)
      const [found] = predictMixedModel(fit, [
        { fixed: { t: one.data.t![i]! }, group: one.data.series![i]!, outerGroup: one.data.client[i]! },
      ])
      close(found!.estimate, expected, 1e-8)
      close(found!.se, Math.sqrt(variance), 1e-7)
    }
  },
)

const small = CASES[0]!

describe('edges', () => {
  test('reversed rows give the same answer', () => {
    const data = dataOf(small)
    const reversed = {
      y: [...small.data.y].reverse(),
      fixed: { t: [...small.data.t!].reverse() },
      groups: [...small.data.client].reverse(),
    }
    const a = linearMixedModel(data, small.model)
    const b = linearMixedModel(reversed, small.model)
    close(b.logLikelihood, a.logLikelihood, 1e-11)
    close(b.fixed[1]!.estimate, a.fixed[1]!.estimate, 1e-8)
  })

  test('shift and scale of outcome and time behave', () => {
    const a = linearMixedModel(dataOf(small), small.model)
    const moved = linearMixedModel(
      {
        y: small.data.y.map((y) => 1e6 + 1000 * y),
        fixed: { t: small.data.t!.map((t) => 20000 + 30.4375 * t) },
        groups: small.data.client,
      },
      small.model,
    )
    close(moved.fixed[1]!.estimate, (1000 * a.fixed[1]!.estimate) / 30.4375, 1e-6)
    close(moved.fixed[1]!.se, (1000 * a.fixed[1]!.se) / 30.4375, 1e-6)
    close(moved.residualSd, 1000 * a.residualSd, 1e-6)
    close(moved.random[0]!.sd[1]!, (1000 * a.random[0]!.sd[1]!) / 30.4375, 1e-5)
  })

  test('rows with anything missing are dropped and counted', () => {
    const a = linearMixedModel(dataOf(small), small.model)
    const b = linearMixedModel(
      {
        y: [null, ...small.data.y, 3, 4],
        fixed: { t: [1, ...small.data.t!, Number.NaN, 4] },
        groups: ['c1', ...small.data.client, 'c1', null],
      },
      small.model,
    )
    expect(b.nDropped).toBe(3)
    expect(b.fixed).toEqual(a.fixed)
  })

  const three = { y: [1, 2, 4], fixed: {}, groups: ['a', 'a', 'b'] }
  test.each<[string, MixedModelData, MixedModelOptions, RegExp]>([
    ['no rows', { y: [], fixed: {}, groups: [] }, {}, /more complete rows than its 1 coefficients; found 0/],
    ['one row', { y: [1], fixed: {}, groups: ['a'] }, {}, /found 1/],
    ['all missing', { y: [null, null], fixed: {}, groups: ['a', 'b'] }, {}, /found 0/],
    ['one group', { ...three, groups: ['a', 'a', 'a'] }, {}, /two groups; found 1/],
    ['all equal', { ...three, y: [2, 2, 2] }, {}, /residual spread/],
    ['columns of unequal length', { ...three, fixed: { t: [1] } }, {}, /t as of y \(3\); found 1/],
    ['collinear', { ...three, fixed: { t: [2, 2, 2] } }, {}, /t determined by the others/],
    ['infinite', { ...three, y: [1, 2, Infinity] }, {}, /finite values/],
    ['unknown slope', three, { random: ['(Intercept)', 'u'] }, /no u/],
  ])('says what is missing: %s', (_, data, options, message) => {
    expect(() => linearMixedModel(data, options)).toThrow(CannotEstimate)
    expect(() => linearMixedModel(data, options)).toThrow(message)
  })

  test('groups without any difference between them: a singular fit, and the degrees of the model without them', () => {
    // Group means equal: the between-group variance is 0 and the mean has n - 1 degrees.
    const fit = linearMixedModel({ y: [1, 3, 0, 4, 2, 2], fixed: {}, groups: ['a', 'a', 'b', 'b', 'c', 'c'] })
    expect(fit.singular).toBe(true)
    expect(fit.converged).toBe(true)
    expect(fit.random[0]!.sd[0]).toBe(0)
    expect(fit.residualSd).toBeCloseTo(Math.sqrt(10 / 5), 10)
    expect(fit.fixed[0]!.df).toBeCloseTo(5, 6)
  })
})

test('likelihood-ratio tests refuse what cannot be compared', () => {
  const reml = fitOf(small)
  const ml = fitOf(small, { estimation: 'ML' })
  const less = fitOf(small, { random: ['(Intercept)'] })
  expect(likelihoodRatioTest(less, reml).df).toBe(2)
  expect(() => likelihoodRatioTest(ml, reml)).toThrow(/both models by ML or both by REML/)
  expect(() => likelihoodRatioTest(reml, less)).toThrow(/more parameters; found -2 more/)
})

test('the fit from sums by series is the fit from rows', () => {
  const fromRows = linearMixedModel(dataOf(small), small.model)
  const labels = [...new Set(small.data.client)]
  const sum = (value: (t: number, y: number) => number) =>
    labels.map((label) =>
      small.data.y.reduce(
        (s, y, i) => (small.data.client[i] === label ? s + value(small.data.t![i]!, y) : s),
        0,
      ),
    )
  const fromSums = linearMixedModelFromSums({
    labels,
    n: sum(() => 1),
    t: sum((t) => t),
    tt: sum((t) => t * t),
    y: sum((_, y) => y),
    ty: sum((t, y) => t * y),
    yy: sum((_, y) => y * y),
  })
  close(fromSums.logLikelihood, fromRows.logLikelihood, 1e-9)
  fromSums.fixed.forEach((effect, j) => {
    close(effect.estimate, fromRows.fixed[j]!.estimate, 1e-7)
    close(effect.se, fromRows.fixed[j]!.se, 1e-7)
    close(effect.df, fromRows.fixed[j]!.df, 1e-5)
  })
  expect(fromSums.groupEffects[0]!.labels).toEqual(fromRows.groupEffects[0]!.labels)
  fromSums.groupEffects[0]!.effects[1]!.estimate.forEach((value, g) => {
    expect(value).toBeCloseTo(fromRows.groupEffects[0]!.effects[1]!.estimate[g]!, 8)
  })
})
