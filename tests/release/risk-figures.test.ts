import { describe, expect, it } from 'vitest'
import { makeRelease, type RiskReport } from '../../src/release/index.ts'
import { load } from '../load/folder.ts'

/** Clients alike in all but sex, and what a release of them reports. */
async function riskOf(female: number, male: number, k: number, maxSuppressed: number): Promise<RiskReport> {
  const sexes = [...Array(female).fill('female'), ...Array(male).fill('male')]
  const { records, asOf } = await load({
    'clients.csv': `Client ID,Date of birth,Sex,Site,Group,Research consent\n${sexes
      .map((sex, i) => `c${i},2020-01-01,${sex},Heron,school,yes\n`)
      .join('')}`,
    'assessments.csv': `Client ID,Date,Reflex,Side,Score,Rater\n${sexes
      .map((_, i) => `c${i},2026-01-01,Moro,midline,4,R\n`)
      .join('')}`,
  })
  return makeRelease(records, { asOf, secret: new Uint8Array(32), k, l: 1, maxSuppressed }).risk
}
const sexOf = (risk: RiskReport) => risk.columns.find((c) => c.column === 'sex')!

describe('the figures of the risk report, worked out by hand', () => {
  it('of two groups of 6 and 4: 1 ÷ 4 at most, 2 groups ÷ 10 people on average, nothing lost', async () => {
    const risk = await riskOf(6, 4, 4, 0)
    expect(risk.prosecutorRisk).toEqual({ max: 0.25, mean: 0.2 })
    expect(risk).toMatchObject({ sampleUniques: 0, loss: 0, people: { suppressed: 0, shareSuppressed: 0 } })
  })

  it('of one group where 4 are too few: sex is withheld, 100 % of it, a quarter of four columns', async () => {
    const risk = await riskOf(6, 4, 5, 0)
    expect(risk.prosecutorRisk).toEqual({ max: 0.1, mean: 0.1 })
    expect(sexOf(risk)).toMatchObject({ level: 'withheld', loss: 1 })
    expect(risk.loss).toBeCloseTo(0.25, 12)
  })

  it('of one left out: 1 of 11, which loses 1 ÷ 11, less than the quarter that sex would', async () => {
    const risk = await riskOf(10, 1, 5, 0.1)
    expect(risk.people).toMatchObject({ released: 10, suppressed: 1, shareSuppressed: 1 / 11 })
    expect(risk.loss).toBeCloseTo(1 / 11, 12)
    expect(sexOf(risk).loss).toBe(0)
    expect(risk.prosecutorRisk).toEqual({ max: 0.1, mean: 0.1 })
  })

  it('of somebody alone, where k = 1 lets them: risk 1 at most, 2 ÷ 11 on average, one row alone', async () => {
    const risk = await riskOf(10, 1, 1, 0)
    expect(risk.prosecutorRisk).toEqual({ max: 1, mean: 2 / 11 })
    expect(risk.sampleUniques).toBe(1)
  })
})
