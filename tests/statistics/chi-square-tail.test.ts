import { expect, it } from 'vitest'
import { chiSquareUpperTail } from '../../src/statistics/chi-square-tail.ts'

it('agrees with R into the far tail', () => {
  // R 4.2.2: pchisq(x, df, lower.tail = FALSE)
  const cases: [number, number, number][] = [
    [1e-3, 3, 9.99991592080942e-1],
    [5, 3, 1.71797144296733e-1],
    [100, 3, 1.55415943138961e-21],
    [800, 3, 4.32747081438521e-173],
    [1e-3, 4, 9.99999875041659e-1],
    [5, 4, 2.87297495183646e-1],
    [100, 4, 9.83662422461598e-21],
    [800, 4, 7.67983008282316e-172],
    [0.5, 1, 4.79500122186953e-1],
    [40, 1, 2.53962858947086e-10],
    [1400, 1, 2.10101451626413e-306],
  ]
  for (const [x, df, p] of cases) expect(chiSquareUpperTail(x, df) / p).toBeCloseTo(1, 10)
  expect(chiSquareUpperTail(0, 3)).toBe(1)
  expect(chiSquareUpperTail(Number.POSITIVE_INFINITY, 3)).toBe(0)
  expect(chiSquareUpperTail(Number.NaN, 1)).toBeNaN()
})
