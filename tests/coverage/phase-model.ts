import { phaseModel } from '../../src/measures/phase-model.ts'
import { NO_EFFECT_MODEL, simulateCaseload } from '../measures/simulate.ts'
import type { CoverageStudy } from './study.ts'

const CASELOADS = 500
/** 6 % of 500 runs and a little for chance: more would be a false claim too often. */
const MOST_FALSE = 35

/**
 * Caseloads in which the programme does nothing: children merely grow, the younger the faster, scores have a floor, and a high score is
 * what brings a family in. A run is false where a difference of the slopes, in either direction, is reported at the 5 % level.
 */
export const phaseModelStudy: CoverageStudy = {
  name: 'Phase model where the programme does nothing',
  run: () => {
    let silent = 0
    let fitted = 0
    for (let seed = 1; seed <= CASELOADS; seed++) {
      const { records, asOf } = simulateCaseload(seed, NO_EFFECT_MODEL)
      const { verdict } = phaseModel(records, { asOf })
      if (verdict !== 'cannot be told apart' && verdict !== 'not computed') fitted++
      if (verdict !== 'steeper fall after the start' && verdict !== 'less steep fall after the start')
        silent++
    }
    return [
      {
        what: `no difference reported, ${MOST_FALSE} false at most`,
        covered: silent,
        simulations: CASELOADS,
        expected: [1 - MOST_FALSE / CASELOADS, 1],
      },
      // A model that refuses to answer makes no false claim either, but shows nothing.
      { what: 'both models fitted', covered: fitted, simulations: CASELOADS, expected: [0.98, 1] },
    ]
  },
}
