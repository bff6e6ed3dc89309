import { independentEffectSizes } from '../../src/statistics/independent-effect-sizes.ts'
import { intraclassCorrelations } from '../../src/statistics/intraclass-correlations.ts'
import { pairedEffectSizes } from '../../src/statistics/paired-effect-sizes.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { type CoverageStudy, measure } from './study.ts'

const SIMULATIONS = 2000

function paired(n: number, delta: number) {
  return measure(`g of paired change ${delta}, n = ${n}`, SIMULATIONS, delta, (simulation) => {
    const stream = seededStream(2024, ['coverage of paired g', n, simulation])
    const before = Array.from({ length: n }, () => stream.normal())
    const after = before.map((value) => value + delta + stream.normal())
    return pairedEffectSizes(before, after).hedgesGInterval
  })
}

function independent(n: number, delta: number) {
  return measure(`g of two groups ${delta}, n = ${n} each`, SIMULATIONS, delta, (simulation) => {
    const stream = seededStream(2024, ['coverage of two-group g', n, simulation])
    const draw = (mean: number) => Array.from({ length: n }, () => mean + stream.normal())
    return independentEffectSizes(draw(delta), draw(0)).hedgesGInterval
  })
}

/** Subjects of variance 1, raters of variance 0.1, errors of variance 0.25. */
function ratings(n: number, k: number, withRaters: boolean, simulation: number): number[][] {
  const stream = seededStream(2024, ['coverage of the ICC', n, k, simulation])
  const raters = Array.from({ length: k }, () => (withRaters ? Math.sqrt(0.1) * stream.normal() : 0))
  return Array.from({ length: n }, () => {
    const subject = stream.normal()
    return raters.map((rater) => subject + rater + 0.5 * stream.normal())
  })
}

function agreement(n: number, k: number) {
  return [
    measure(`ICC(1,1), ${n} subjects, ${k} ratings`, SIMULATIONS, 1 / 1.25, (simulation) => {
      return intraclassCorrelations(ratings(n, k, false, simulation)).icc11.interval
    }),
    measure(`ICC(2,1), ${n} subjects, ${k} raters`, SIMULATIONS, 1 / 1.35, (simulation) => {
      return intraclassCorrelations(ratings(n, k, true, simulation)).icc21.interval
    }),
    measure(`ICC(3,1), ${n} subjects, ${k} raters`, SIMULATIONS, 1 / 1.25, (simulation) => {
      return intraclassCorrelations(ratings(n, k, true, simulation)).icc31.interval
    }),
  ]
}

export const effectSizeStudy: CoverageStudy = {
  name: 'Standardised effects and intraclass correlations',
  run: () => [paired(12, 0.5), paired(40, 1), independent(15, 0.8), ...agreement(40, 2), ...agreement(40, 4)],
}
