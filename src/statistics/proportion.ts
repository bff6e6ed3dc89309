import beta from '@stdlib/stats-base-dists-beta'
import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate, checkLevel, type Interval } from './shared.ts'

export interface Proportion {
  readonly method: string
  readonly estimate: number
  readonly interval: Interval
  readonly events: number
  readonly n: number
}

function check(statistic: string, events: number, n: number, level: number): void {
  checkLevel(statistic, level)
  if (!(Number.isInteger(n) && n >= 1)) throw new CannotEstimate(statistic, 'a count of 1 or more', String(n))
  if (!(Number.isInteger(events) && events >= 0 && events <= n))
    throw new CannotEstimate(statistic, `a whole number of events from 0 to ${n}`, String(events))
}

/**
 * Wilson's score interval of a proportion (Wilson 1927, J Am Stat Assoc 22:209–212; Newcombe 1998, Stat Med 17:857–872, method
 * 3). `continuity` gives method 4, with continuity correction, its limits 0 at no event and 1 at all.
 *
 * @throws CannotEstimate unless events and n are whole numbers with 0 ≤ events ≤ n and n ≥ 1
 */
export function wilsonInterval(
  events: number,
  n: number,
  { level = 0.95, continuity = false }: { readonly level?: number; readonly continuity?: boolean } = {},
): Proportion {
  check('wilsonInterval', events, n, level)
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const [lower, upper] = continuity ? scoreWithContinuity(events, n, z) : score(events, n, z)
  return {
    method: continuity ? 'Wilson, continuity corrected' : 'Wilson',
    estimate: events / n,
    interval: { lower: events === 0 ? 0 : lower, upper: events === n ? 1 : upper, level },
    events,
    n,
  }
}

function score(events: number, n: number, z: number): readonly [number, number] {
  const p = events / n
  const centre = p + (z * z) / (2 * n)
  const reach = z * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n))
  const by = 1 + (z * z) / n
  return [Math.max(0, (centre - reach) / by), Math.min(1, (centre + reach) / by)]
}

function scoreWithContinuity(events: number, n: number, z: number): readonly [number, number] {
  const p = events / n
  const by = 2 * (n + z * z)
  const down = z * Math.sqrt(z * z - 2 - 1 / n + 4 * p * (n * (1 - p) + 1))
  const up = z * Math.sqrt(z * z + 2 - 1 / n + 4 * p * (n * (1 - p) - 1))
  return [Math.max(0, (2 * n * p + z * z - 1 - down) / by), Math.min(1, (2 * n * p + z * z + 1 + up) / by)]
}

/**
 * Clopper and Pearson's exact interval of a proportion (1934, Biometrika 26:404–413), by beta quantiles.
 *
 * @throws CannotEstimate unless events and n are whole numbers with 0 ≤ events ≤ n and n ≥ 1
 */
export function clopperPearsonInterval(
  events: number,
  n: number,
  { level = 0.95 }: { readonly level?: number } = {},
): Proportion {
  check('clopperPearsonInterval', events, n, level)
  const tail = (1 - level) / 2
  return {
    method: 'Clopper-Pearson',
    estimate: events / n,
    interval: {
      lower: events === 0 ? 0 : beta.quantile(tail, events, n - events + 1),
      upper: events === n ? 1 : beta.quantile(1 - tail, events + 1, n - events),
      level,
    },
    events,
    n,
  }
}
