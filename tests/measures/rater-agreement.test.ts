import { describe, expect, it } from 'vitest'
import { raterAgreement } from '../../src/measures/rater-agreement.ts'
import { client, on, recordsOf, scores } from './rows.ts'

/**
 * Ten double scorings of the Moro reflex, one a client; r2 is written before r1 in half of them.
 *
 *   r1  4 3 3 2 2 1 1 0 4 2      mean 2.2
 *   r2  4 3 2 2 1 1 0 0 3 2      mean 1.8
 *   d   0 0 1 0 1 0 1 0 1 0      mean 0.4, SS 4 - 1.6 = 2.4, SD √(2.4 / 9) = 0.516398
 */
const FIRST = [4, 3, 3, 2, 2, 1, 1, 0, 4, 2]
const SECOND = [4, 3, 2, 2, 1, 1, 0, 0, 3, 2]
const clients = FIRST.map((_, i) => client(`c${i}`, '2018-06-15'))
const assessments = FIRST.flatMap((first, i) => {
  const rows = [
    ['2024-01-10', first, 'r1'],
    ['2024-01-10', SECOND[i]!, 'r2'],
  ] as const
  return scores(`c${i}`, 'moro', 'midline', i % 2 === 0 ? rows : [rows[1], rows[0]])
})
const asOf = on('2024-06-01')

describe('agreement of two raters', () => {
  const result = raterAgreement(recordsOf({ clients, assessments }), { asOf })
  const row = result.rows[0]!

  it('is reported from ten double scorings, raters in order of name', () => {
    expect(result.rows).toHaveLength(1)
    expect(row).toMatchObject({ reflex: 'moro', raters: ['r1', 'r2'], pairs: 10, clients: 10 })
    expect(result).toMatchObject({ enrolled: 10, n: 10, exclusions: [] })
  })

  it('has Bland–Altman limits of r1 less r2', () => {
    if ('notComputed' in row.blandAltman) throw new Error(row.blandAltman.notComputed)
    expect(row.blandAltman.bias).toBeCloseTo(0.4, 12)
    expect(row.blandAltman.sdDifference).toBeCloseTo(Math.sqrt(2.4 / 9), 12)
    expect(row.blandAltman.upperLimit).toBeCloseTo(0.4 + 1.959964 * Math.sqrt(2.4 / 9), 5)
  })

  it('has kappa = 1 - mean d² ÷ mean d² by chance, with quadratic weights', () => {
    // mean d² = 0.4. By chance: var r1 + var r2 + (difference of means)², variances with n:
    // r1: Σx² = 64, 6.4 - 4.84 = 1.56; r2: Σx² = 48, 4.8 - 3.24 = 1.56; 1.56 + 1.56 + 0.16 = 3.28.
    if ('notComputed' in row.kappa) throw new Error(row.kappa.notComputed)
    expect(row.kappa.estimate).toBeCloseTo(1 - 0.4 / 3.28, 12)
    expect(row.kappa.n).toBe(10)
  })

  it('has ICC(2,1) from the mean squares', () => {
    // Two raters: MS error = Σ(d - 0.4)² / 2 / 9 = 2.4 / 18; MS raters = 10 × 0.4² / 2 = 0.8;
    // sums 8 6 5 4 3 2 1 0 7 4, squares 220: SS subjects = 220 / 2 - 20 × 2² = 30, MS 30 / 9.
    // (MSB - MSE) / (MSB + MSE + 2 (MSJ - MSE) / 10)
    if ('notComputed' in row.icc) throw new Error(row.icc.notComputed)
    const [b, e, j] = [30 / 9, 2.4 / 18, 0.8]
    expect(row.icc.icc21.estimate).toBeCloseTo((b - e) / (b + e + (2 * (j - e)) / 10), 12)
  })

  it('leaves nine out and says how many', () => {
    const nine = raterAgreement(recordsOf({ clients, assessments: assessments.slice(0, 18) }), { asOf })
    expect(nine).toMatchObject({ enrolled: 9, n: 0, rows: [] })
    expect(nine.tooFew).toEqual([{ reflex: 'moro', raters: ['r1', 'r2'], pairs: 9 }])
  })

  it('gives no kappa for half points, and says so', () => {
    const half = assessments.map((a, i) => (i === 0 ? { ...a, score: 2.5 } : a))
    const found = raterAgreement(recordsOf({ clients, assessments: half }), { asOf }).rows[0]!
    expect(found.kappa).toEqual({
      notComputed: 'Kappa needs whole points of the 0 to 4 scale; some scores lie between them.',
    })
    expect('notComputed' in found.icc).toBe(false)
  })
})
