import binomial from '@stdlib/stats-base-dists-binomial'
import { gammaQuantile } from './gamma-quantile.ts'
import { clopperPearsonInterval } from './proportion.ts'
import { CannotEstimate, checkLevel, type Interval } from './shared.ts'

export interface PoissonRate {
  readonly method: 'Poisson rate, exact (Garwood)'
  /** Events per unit of exposure. */
  readonly estimate: number
  readonly interval: Interval
  readonly events: number
  readonly exposure: number
}

function check(statistic: string, events: number, exposure: number): void {
  if (!(Number.isInteger(events) && events >= 0))
    throw new CannotEstimate(statistic, 'a whole number of events, 0 or more', String(events))
  if (!(exposure > 0 && Number.isFinite(exposure)))
    throw new CannotEstimate(statistic, 'an exposure above 0', String(exposure))
}

/**
 * Rate of a Poisson count with the exact central interval by gamma quantiles (Garwood 1936, Biometrika 28:437–442).
 *
 * @throws CannotEstimate unless events is a whole number of 0 or more and exposure is above 0
 */
export function poissonRate(
  events: number,
  exposure: number,
  { level = 0.95 }: { readonly level?: number } = {},
): PoissonRate {
  checkLevel('poissonRate', level)
  check('poissonRate', events, exposure)
  const tail = (1 - level) / 2
  return {
    method: 'Poisson rate, exact (Garwood)',
    estimate: events / exposure,
    interval: {
      lower: events === 0 ? 0 : gammaQuantile(tail, events) / exposure,
      upper: gammaQuantile(tail, events + 1, { upper: true }) / exposure,
      level,
    },
    events,
    exposure,
  }
}

export interface PoissonRateRatio {
  readonly method: 'Poisson rate ratio, conditional exact'
  /** First rate ÷ second; infinite where the second has no event, null where neither has. */
  readonly estimate: number | null
  readonly interval: Interval
  readonly firstRate: number
  readonly secondRate: number
  /** Twice the smaller tail, at most 1: the p that agrees with the interval. */
  readonly pDoubledTail: number
  /** Sum of the probabilities not larger than the observed one (R's choice); it may contradict the interval. */
  readonly pMinimumLikelihood: number
}

/** Two-sided binomial p by adding up outcomes no more likely than the observed one, with R's relative slack of 1e-7. */
export function binomialMinimumLikelihoodP(events: number, n: number, probability: number): number {
  const observed = binomial.pmf(events, n, probability) * (1 + 1e-7)
  let p = 0
  for (let k = 0; k <= n; k++) {
    const mass = binomial.pmf(k, n, probability)
    if (mass <= observed) p += mass
  }
  return Math.min(1, p)
}

/** P(X ≥ events) of a binomial of n, as the lower tail of what did not happen: 1 − cdf would lose the digits of a small p. */
export function binomialUpperTail(events: number, n: number, probability: number): number {
  return events <= 0 ? 1 : binomial.cdf(n - events, n, 1 - probability)
}

/**
 * Ratio of two Poisson rates: given their sum the first count is binomial, so Clopper–Pearson limits turn into limits of the ratio
 * (Przyborowski and Wilenski 1940, Biometrika 31:313–323; Rothman and Greenland 1998, p. 256, from memory).
 *
 * @throws CannotEstimate unless counts are whole numbers of 0 or more, not both 0, and exposures are above 0
 */
export function poissonRateRatio(
  first: { readonly events: number; readonly exposure: number },
  second: { readonly events: number; readonly exposure: number },
  { level = 0.95 }: { readonly level?: number } = {},
): PoissonRateRatio {
  checkLevel('poissonRateRatio', level)
  check('poissonRateRatio', first.events, first.exposure)
  check('poissonRateRatio', second.events, second.exposure)
  const n = first.events + second.events
  if (n === 0) throw new CannotEstimate('poissonRateRatio', 'an event in either group', 'none')
  const share = clopperPearsonInterval(first.events, n, { level }).interval
  const turn = second.exposure / first.exposure
  const ratio = (p: number): number => (p === 1 ? Infinity : (p / (1 - p)) * turn)
  const expected = first.exposure / (first.exposure + second.exposure)
  const below = binomial.cdf(first.events, n, expected)
  const above = binomialUpperTail(first.events, n, expected)
  return {
    method: 'Poisson rate ratio, conditional exact',
    estimate: second.events === 0 ? Infinity : (first.events / second.events) * turn,
    interval: { lower: ratio(share.lower!), upper: ratio(share.upper!), level },
    firstRate: first.events / first.exposure,
    secondRate: second.events / second.exposure,
    pDoubledTail: Math.min(1, 2 * Math.min(below, above)),
    pMinimumLikelihood: binomialMinimumLikelihoodP(first.events, n, expected),
  }
}
