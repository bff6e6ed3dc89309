import { describe, expect, it } from 'vitest'
import { allSeries, clientsById } from '../../src/measures/index.ts'
import { ordinalPhase } from '../../src/measures/ordinal-phase.ts'
import { phaseDesign } from '../../src/measures/phase-design.ts'
import { phaseRows } from '../../src/measures/phase-rows.ts'
import { simulateCaseload } from './simulate.ts'

describe('the ordinal phase model', () => {
  const { records, asOf } = simulateCaseload(5, { clients: 40, written: 'graded' })
  const data = phaseRows(allSeries(records, { asOf }), clientsById(records), 12)
  const design = phaseDesign(data)
  const found = ordinalPhase(data.rows, design, 0.95)

  it('gives each slope the standard error of its own coefficient: the diagonal of their covariance', () => {
    const { covariance, nClusters } = found.fit.robust!
    const names = design.terms.slice(1)
    const p = names.length
    expect(p).toBeGreaterThan(3)
    // A square matrix by rows: its diagonal is every (p + 1)-th number.
    const variances = Array.from(covariance).filter((_, i) => i % (p + 1) === 0)
    expect(variances).toHaveLength(p)
    const at = (name: string) => {
      const j = names.indexOf(name)
      return { estimate: found.fit.coefficients[j]!.estimate, standardError: Math.sqrt(variances[j]!) }
    }
    expect(found.before).toMatchObject(at('months'))
    expect(found.difference).toMatchObject(at('months after the start'))
    // One client each is a cluster; a coefficient each, and the mean of the scores, cost a degree of freedom.
    expect(nClusters).toBe(new Set(data.rows.map((r) => r.client_id)).size)
    expect(found.difference.df).toBe(nClusters - p - 1)
  })

  it('takes scores that two raters averaged to the nearest grade, a half upwards', () => {
    // Common practice in rounding half up: 0.5 is 1, 1.49 is 1, 2.5 is 3.
    const between = new Map([
      [0, 0.49],
      [1, 0.5],
      [2, 2.49],
      [3, 2.5],
      [4, 3.5],
    ])
    const averaged = data.rows.map((row) => ({ ...row, score: between.get(row.score)! }))
    const again = ordinalPhase(averaged, design, 0.95)
    expect(again.categories).toEqual(found.categories)
    expect(again.difference).toEqual(found.difference)
  })
})
