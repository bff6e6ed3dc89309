import { chiSquareUpperTail } from './chi-square-tail.ts'
import { inverseQuadraticForm } from './linear-solve.ts'
import { CannotEstimate, type Maybe } from './shared.ts'
import { survivalSubjects } from './survival-subjects.ts'

export interface LogRankTest {
  readonly method: 'log-rank' | 'Peto-Peto'
  readonly groups: readonly string[]
  readonly n: readonly number[]
  readonly nDropped: number
  readonly observed: readonly number[]
  readonly expected: readonly number[]
  /** Hypergeometric covariance matrix of observed minus expected. */
  readonly variance: readonly (readonly number[])[]
  readonly chiSquare: number
  readonly df: number
  readonly p: number
}

export interface LogRankOptions {
  /** `log-rank` weighs all event times alike; `Peto-Peto` by the pooled survival just before each. */
  readonly weights?: 'log-rank' | 'Peto-Peto'
  /** Order of the groups in the result; ascending by code point unless given. All groups must be named. */
  readonly groupOrder?: readonly string[]
}

/**
 * Log-rank test, or its Peto-Peto form (G-rho family with rho = 1), that two or more groups share one survival curve.
 *
 * `time`, `event` as in kaplanMeier; `group` the group of each subject. A subject with any of the three missing is
 * dropped and counted. Variance is the hypergeometric one with ties. Groups in which no event could have been seen (their expected
 * count is 0) add no degree of freedom.
 *
 * Source: Harrington and Fleming (1982) Biometrika 69:553-566; Klein and Moeschberger (2003) section 7.3. Equal to
 * survdiff of the R package survival.
 *
 * @throws CannotEstimate where fewer than two groups, or no event, came.
 */
export function logRankTest(
  time: ArrayLike<Maybe>,
  event: ArrayLike<Maybe | boolean>,
  group: ArrayLike<string | null | undefined>,
  options: LogRankOptions = {},
): LogRankTest {
  const method = options.weights ?? 'log-rank'
  if (group.length !== time.length)
    throw new CannotEstimate('logRankTest', 'as many groups as times', `${group.length} and ${time.length}`)
  const known = Array.from(time, (t, i) => (group[i] === null || group[i] === undefined ? null : t))
  const { subjects, dropped } = survivalSubjects('logRankTest', known, event)
  const present = [...new Set(subjects.map((s) => group[s.row]!))].sort()
  const groups = options.groupOrder ?? present
  const unnamed = present.find((name) => !groups.includes(name))
  if (unnamed !== undefined) throw new CannotEstimate('logRankTest', 'every group in groupOrder', unnamed)
  if (present.length < 2)
    throw new CannotEstimate('logRankTest', 'two groups or more', String(present.length))
  const members = subjects.map((s) => ({ ...s, group: groups.indexOf(group[s.row]!) }))
  const sums = accumulate(members, groups.length, method === 'Peto-Peto')
  const informative = groups.map((_, g) => g).filter((g) => sums.expected[g]! > 0)
  const df = informative.length - 1
  if (df < 1 || sums.observed.every((o) => o === 0))
    throw new CannotEstimate('logRankTest', 'an event while two groups are at risk', 'none')
  const tested = informative.slice(1)
  const difference = tested.map((g) => sums.observed[g]! - sums.expected[g]!)
  const matrix = tested.map((g) => tested.map((h) => sums.variance[g]![h]!))
  const chiSquare = inverseQuadraticForm('logRankTest', matrix, difference)
  return {
    method,
    groups,
    n: groups.map((_, g) => members.filter((s) => s.group === g).length),
    nDropped: dropped,
    observed: sums.observed,
    expected: sums.expected,
    variance: sums.variance,
    chiSquare,
    df,
    p: chiSquareUpperTail(chiSquare, df),
  }
}

interface Sums {
  readonly observed: number[]
  readonly expected: number[]
  readonly variance: number[][]
}

function accumulate(
  members: readonly { readonly time: number; readonly event: boolean; readonly group: number }[],
  k: number,
  peto: boolean,
): Sums {
  const sums: Sums = {
    observed: new Array<number>(k).fill(0),
    expected: new Array<number>(k).fill(0),
    variance: Array.from({ length: k }, () => new Array<number>(k).fill(0)),
  }
  const atRisk = new Array<number>(k).fill(0)
  for (const member of members) atRisk[member.group]!++
  let survival = 1
  for (let i = 0; i < members.length; ) {
    const time = members[i]!.time
    const total = members.length - i
    const deaths = new Array<number>(k).fill(0)
    const leaving = new Array<number>(k).fill(0)
    for (; i < members.length && members[i]!.time === time; i++) {
      leaving[members[i]!.group]!++
      if (members[i]!.event) deaths[members[i]!.group]!++
    }
    const all = deaths.reduce((a, b) => a + b, 0)
    addEventTime(sums, atRisk, deaths, total, all, peto ? survival : 1)
    survival *= 1 - all / total
    for (let g = 0; g < k; g++) atRisk[g]! -= leaving[g]!
  }
  return sums
}

function addEventTime(
  sums: Sums,
  atRisk: readonly number[],
  deaths: readonly number[],
  total: number,
  all: number,
  weight: number,
): void {
  if (all === 0) return
  for (let g = 0; g < atRisk.length; g++) {
    const share = atRisk[g]! / total
    sums.observed[g]! += weight * deaths[g]!
    sums.expected[g]! += weight * all * share
    if (total === 1) continue
    const scale = (weight * weight * all * (total - all)) / (total - 1)
    for (let h = 0; h < atRisk.length; h++)
      sums.variance[g]![h]! += scale * ((g === h ? share : 0) - (share * atRisk[h]!) / total)
  }
}
