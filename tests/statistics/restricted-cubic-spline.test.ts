import { describe, expect, it } from 'vitest'
import { restrictedCubicSpline } from '../../src/statistics/restricted-cubic-spline.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

describe('the curved terms of a restricted cubic spline', () => {
  const x = [1, 2, 3, 5, 8, 13, 21, 34, 55, 89]

  it('agree with R 4.2.2: knots by quantile(), terms by Harrell’s equation, in the span of splines::ns with those knots', () => {
    const { knots, columns } = restrictedCubicSpline(x)
    for (const [i, knot] of [1.45, 5.45, 19.8, 73.7].entries()) expect(knots[i]).toBeCloseTo(knot, 10)
    const first = [
      0, 3.18722237521e-5, 7.13377473929e-4, 8.57056309192e-3, 5.38329521917e-2, 0.295168664168,
      1.43096803641, 5.87133305809, 18.2177234659, 43.6971280277,
    ]
    const second = [
      0, 0, 0, 0, 3.17647058824e-3, 0.0824451575053, 0.719884258675, 3.76347686009, 12.725805681,
      31.5295208391,
    ]
    for (let i = 0; i < x.length; i++) {
      expect(columns[0][i]).toBeCloseTo(first[i]!, 8)
      expect(columns[1][i]).toBeCloseTo(second[i]!, 8)
    }
  })

  it('are straight beyond the outer knots', () => {
    const line = Array.from({ length: 101 }, (_, i) => i)
    const { columns } = restrictedCubicSpline(line)
    for (const column of columns) {
      expect(column[3]).toBe(0)
      expect(column[100]! - 2 * column[99]! + column[98]!).toBeCloseTo(0, 9)
    }
  })

  it('need four different knots and no gaps', () => {
    expect(() => restrictedCubicSpline([1, 1, 1, 2])).toThrow(CannotEstimate)
    expect(() => restrictedCubicSpline([])).toThrow(CannotEstimate)
    expect(() => restrictedCubicSpline([1, 2, 3, null, 5])).toThrow(/no missing values/)
  })
})
