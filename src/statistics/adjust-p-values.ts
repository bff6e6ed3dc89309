import { CannotEstimate, isKnown, type Maybe } from './shared.ts'

export interface Adjustment {
  /** Tests that were made, where more than those whose p-values are given; the number of known p-values by default. */
  readonly tests?: number
}

function checkAll(statistic: string, p: ArrayLike<Maybe>): number[] {
  const at: number[] = []
  for (let i = 0; i < p.length; i++) {
    const value = p[i]
    if (!isKnown(value)) continue
    if (!(value >= 0 && value <= 1))
      throw new CannotEstimate(statistic, 'p-values from 0 to 1', String(value))
    at.push(i)
  }
  return at
}

/** Steps through the known p-values in an order and puts each adjusted value in its place; the missing stay missing. */
function stepped(
  statistic: string,
  p: ArrayLike<Maybe>,
  direction: 'down' | 'up',
  factor: (rank: number, tests: number) => number,
  { tests }: Adjustment,
): (number | null)[] {
  const at = checkAll(statistic, p)
  const m = at.length
  if (tests !== undefined && !(Number.isInteger(tests) && tests >= m))
    throw new CannotEstimate(statistic, `a whole number of tests, at least the ${m} given`, String(tests))
  const order = at.sort((a, b) => p[a]! - p[b]! || a - b)
  const out: (number | null)[] = Array.from({ length: p.length }, () => null)
  let running = direction === 'down' ? 0 : 1
  for (let step = 0; step < m; step++) {
    const rank = direction === 'down' ? step : m - 1 - step
    const raw = Math.min(1, factor(rank + 1, tests ?? m) * p[order[rank]!]!)
    running = direction === 'down' ? Math.max(running, raw) : Math.min(running, raw)
    out[order[rank]!] = running
  }
  return out
}

/**
 * Holm's step-down adjustment (1979, Scand J Stat 6:65–70), in the order given. A missing p stays null and does not count as a
 * test.
 * @throws CannotEstimate for a p outside 0 to 1 (the others likewise)
 */
export const adjustHolm = (p: ArrayLike<Maybe>, options: Adjustment = {}): (number | null)[] =>
  stepped('adjustHolm', p, 'down', (rank, m) => m - rank + 1, options)

/** Benjamini and Hochberg's false discovery rate (1995, J R Stat Soc B 57:289–300). */
export const adjustBenjaminiHochberg = (p: ArrayLike<Maybe>, options: Adjustment = {}): (number | null)[] =>
  stepped('adjustBenjaminiHochberg', p, 'up', (rank, m) => m / rank, options)

/** Hochberg's step-up adjustment (1988, Biometrika 75:800–802). */
export const adjustHochberg = (p: ArrayLike<Maybe>, options: Adjustment = {}): (number | null)[] =>
  stepped('adjustHochberg', p, 'up', (rank, m) => m - rank + 1, options)

/**
 * Bonferroni's adjustment: each p times the number of tests, at most 1. A missing p stays null and does not count as a
 * test.
 *
 * Source: Dunn (1961) J Am Stat Assoc 56:52-64 (from memory).
 * @throws CannotEstimate for a p outside 0 to 1
 */
export const adjustBonferroni = (p: ArrayLike<Maybe>, options: Adjustment = {}): (number | null)[] =>
  stepped('adjustBonferroni', p, 'down', (_, m) => m, options)
