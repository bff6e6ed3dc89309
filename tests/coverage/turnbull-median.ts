import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { turnbullBootstrap } from '../../src/statistics/turnbull-bootstrap.ts'
import { type CoverageStudy, HOLDS, measure } from './study.ts'

/** Exponential times with median 100 ln 2 days, seen at visits about `gap` days apart for a year. */
function caseload(n: number, gap: number, simulation: number) {
  const stream = seededStream(2024, ['coverage of the Turnbull median', n, gap, simulation])
  const left: number[] = []
  const right: (number | null)[] = []
  for (let i = 0; i < n; i++) {
    const event = -100 * Math.log(stream.uniform())
    let visit = 0
    let next = Math.ceil(gap * stream.uniform())
    while (next < event && next < 365) {
      visit = next
      next += Math.round(0.75 * gap) + stream.below(Math.round(gap / 2))
    }
    left.push(visit)
    right.push(next < 365 ? next : null)
  }
  return { left, right }
}

/** With many subjects and near visits the interval errs to the wide side, as its docstring says: 97.1 % when this was written. */
const WIDE: readonly [number, number] = [0.93, 0.98]

export const turnbullMedianStudy: CoverageStudy = {
  name: 'Turnbull medians, percentile bootstrap',
  run: () =>
    (
      [
        [60, 30, 500, HOLDS],
        [60, 84, 500, HOLDS],
        [150, 30, 800, WIDE],
      ] as const
    ).map(([n, gap, simulations, expected]) =>
      measure(
        `n = ${n}, visits ${gap} days apart`,
        simulations,
        100 * Math.LN2,
        (simulation) => {
          const { left, right } = caseload(n, gap, simulation)
          return turnbullBootstrap(left, right, { draws: 199, seed: simulation }).median.interval
        },
        expected,
      ),
    ),
}
