import { linearMixedModel } from '../../src/statistics/mixed/linear-mixed-model.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { type Coverage, type CoverageStudy, HOLDS, holds } from './study.ts'

const SIMULATIONS = 1000
const SLOPE = -0.3
const METHODS = ['satterthwaite', 'wald'] as const

/** Series with 3 to 7 occasions, their own intercepts (sd 1) and slopes (sd 0.2, correlation -0.3), errors of sd 0.5. */
function series(n: number, simulation: number) {
  const stream = seededStream(2024, ['coverage of mixed-model slopes', n, simulation])
  const y: number[] = []
  const time: number[] = []
  const groups: number[] = []
  for (let g = 0; g < n; g++) {
    const first = stream.normal()
    const slope = SLOPE + 0.2 * (-0.3 * first + Math.sqrt(1 - 0.09) * stream.normal())
    const occasions = 3 + stream.below(5)
    for (let t = 0; t < occasions; t++) {
      groups.push(g)
      time.push(t)
      y.push(2 + first + slope * t + 0.5 * stream.normal())
    }
  }
  return { y, fixed: { time }, groups }
}

function slopes(n: number, expected: Record<(typeof METHODS)[number], Coverage['expected']>): Coverage[] {
  const covered = { satterthwaite: 0, wald: 0 }
  for (let simulation = 0; simulation < SIMULATIONS; simulation++) {
    const data = series(n, simulation)
    for (const interval of METHODS) {
      const fit = linearMixedModel(data, { random: ['(Intercept)', 'time'], interval })
      const slope = fit.fixed.find((effect) => effect.name === 'time')!
      if (holds(slope.interval, SLOPE)) covered[interval]++
    }
  }
  return METHODS.map((interval) => ({
    what: `slope over ${n} series, ${interval} interval`,
    covered: covered[interval],
    simulations: SIMULATIONS,
    expected: expected[interval],
  }))
}

export const mixedModelStudy: CoverageStudy = {
  name: 'Slopes of the linear mixed model, random intercepts and slopes',
  run: () => [
    ...slopes(60, { satterthwaite: HOLDS, wald: HOLDS }),
    // The normal quantile of Wald's interval takes the few series for many.
    ...slopes(12, { satterthwaite: HOLDS, wald: null }),
  ],
}
