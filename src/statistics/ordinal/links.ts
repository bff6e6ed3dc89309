import normal from '@stdlib/stats-base-dists-normal'

export type LinkName = 'logit' | 'probit'

/** A distribution function symmetric about 0 at one point. */
export interface LinkPoint {
  distribution: number
  /** 1 - distribution, with its own digits. */
  tail: number
  density: number
  /** Slope of the density. */
  slope: number
}

export interface Link {
  /** Fills `into` for a finite or infinite x. */
  readonly at: (x: number, into: LinkPoint) => void
  /** Variance of the latent error. */
  readonly variance: number
}

function logisticAt(x: number, into: LinkPoint): void {
  const e = Math.exp(-Math.abs(x))
  const share = 1 / (1 + e)
  const density = e * share * share
  const slope = density * (1 - e) * share
  into.distribution = x >= 0 ? share : e * share
  into.tail = x >= 0 ? e * share : share
  into.density = density
  into.slope = x >= 0 ? -slope : slope
}

function normalAt(x: number, into: LinkPoint): void {
  const density = Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)
  into.distribution = normal.cdf(x, 0, 1)
  into.tail = normal.cdf(-x, 0, 1)
  into.density = density
  into.slope = density === 0 ? 0 : -x * density
}

export const LINKS: Readonly<Record<LinkName, Link>> = {
  logit: { at: logisticAt, variance: Math.PI ** 2 / 3 },
  probit: { at: normalAt, variance: 1 },
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
  /** Room for the link at either cut point. */
  readonly upper: LinkPoint
  readonly lower: LinkPoint
}

/** Fills `cell` for the cut points less the predictor; -Infinity and Infinity are the open ends. */
export function fillCell(link: Link, upper: number, lower: number, cell: Cell): void {
  const u = cell.upper
  const l = cell.lower
  link.at(upper, u)
  link.at(lower, l)
  // The side of the distribution where the difference keeps its digits.
  const p = lower > 0 ? l.tail - u.tail : u.distribution - l.distribution
  if (!(p > 1e-300)) {
    cell.logProbability = -Infinity
    cell.byUpper = cell.byLower = cell.gradient = cell.curvature = 0
    return
  }
  cell.logProbability = Math.log(p)
  cell.byUpper = u.density / p
  cell.byLower = -l.density / p
  cell.gradient = -(u.density - l.density) / p
  cell.curvature = (u.slope - l.slope) / p - cell.gradient ** 2
}

const emptyPoint = (): LinkPoint => ({ distribution: 0, tail: 0, density: 0, slope: 0 })

export const emptyCell = (): Cell => ({
  logProbability: 0,
  byUpper: 0,
  byLower: 0,
  gradient: 0,
  curvature: 0,
  upper: emptyPoint(),
  lower: emptyPoint(),
})
