import normal from '@stdlib/stats-base-dists-normal'

export type LinkName = 'logit' | 'probit'

/** A distribution function symmetric about 0, its density and the density's slope. */
export interface Link {
  readonly distribution: (x: number) => number
  readonly density: (x: number) => number
  readonly slope: (x: number) => number
  /** Variance of the latent error. */
  readonly variance: number
}

function logisticDensity(x: number): number {
  const e = Math.exp(-Math.abs(x))
  return e / (1 + e) ** 2
}

const normalDensity = (x: number): number => Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)

export const LINKS: Readonly<Record<LinkName, Link>> = {
  logit: {
    distribution: (x) => (x >= 0 ? 1 / (1 + Math.exp(-x)) : Math.exp(x) / (1 + Math.exp(x))),
    density: logisticDensity,
    slope: (x) => -logisticDensity(x) * Math.tanh(x / 2),
    variance: Math.PI ** 2 / 3,
  },
  probit: {
    distribution: (x) => normal.cdf(x, 0, 1),
    density: normalDensity,
    slope: (x) => -x * normalDensity(x),
    variance: 1,
  },
}

/** One category's probability between two cut points and its derivatives by them and by the predictor. */
export interface Cell {
  logProbability: number
  /** d log p / d upper cut, d log p / d lower cut. */
  byUpper: number
  byLower: number
  /** d log p / d eta and its derivative. */
  gradient: number
  curvature: number
}

/** Fills `cell` for the cut points less the predictor; -Infinity and Infinity are the open ends. */
export function fillCell(link: Link, upper: number, lower: number, cell: Cell): void {
  const F = link.distribution
  // The side of the distribution where the difference keeps its digits.
  const p = lower > 0 ? F(-lower) - F(-upper) : F(upper) - F(lower)
  if (!(p > 1e-300)) {
    cell.logProbability = -Infinity
    cell.byUpper = cell.byLower = cell.gradient = cell.curvature = 0
    return
  }
  const fu = Number.isFinite(upper) ? link.density(upper) : 0
  const fl = Number.isFinite(lower) ? link.density(lower) : 0
  cell.logProbability = Math.log(p)
  cell.byUpper = fu / p
  cell.byLower = -fl / p
  cell.gradient = -(fu - fl) / p
  const su = Number.isFinite(upper) ? link.slope(upper) : 0
  const sl = Number.isFinite(lower) ? link.slope(lower) : 0
  cell.curvature = (su - sl) / p - cell.gradient ** 2
}

export const emptyCell = (): Cell => ({
  logProbability: 0,
  byUpper: 0,
  byLower: 0,
  gradient: 0,
  curvature: 0,
})
