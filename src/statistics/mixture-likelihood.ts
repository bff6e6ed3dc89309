/**
 * The nonparametric likelihood of interval-censored data: masses p on m places in a row, each observation covering
 * a run of places, log likelihood = sum of weight * log(mass of the run). Written in the distribution function
 * F (m + 1 nodes, F[0] = 0, F[m] = 1): an observation is an edge from the node before its run to the node after it.
 */
export interface Edges {
  readonly from: Int32Array
  readonly to: Int32Array
  readonly weight: Float64Array
  /** Sum of the weights. */
  readonly total: number
  /** Number of places m. */
  readonly places: number
}

/** Joins observations with the same run. */
export function joinEdges(
  first: ArrayLike<number>,
  last: ArrayLike<number>,
  weight: ArrayLike<number>,
  places: number,
): Edges {
  const index = new Map<number, number>()
  const from: number[] = []
  const to: number[] = []
  const weights: number[] = []
  let total = 0
  for (let i = 0; i < first.length; i++) {
    const w = weight[i]!
    if (w === 0) continue
    total += w
    const key = first[i]! * (places + 1) + last[i]!
    const known = index.get(key)
    if (known !== undefined) weights[known]! += w
    else {
      index.set(key, from.length)
      from.push(first[i]!)
      to.push(last[i]! + 1)
      weights.push(w)
    }
  }
  return {
    from: Int32Array.from(from),
    to: Int32Array.from(to),
    weight: Float64Array.from(weights),
    total,
    places,
  }
}

export function cumulate(mass: Float64Array): Float64Array {
  const distribution = new Float64Array(mass.length + 1)
  for (let j = 0; j < mass.length; j++) distribution[j + 1] = distribution[j]! + mass[j]!
  return distribution
}

export function logLikelihood(edges: Edges, distribution: Float64Array): number {
  let sum = 0
  for (let i = 0; i < edges.from.length; i++) {
    const probability = distribution[edges.to[i]!]! - distribution[edges.from[i]!]!
    if (!(probability > 0)) return -Infinity
    sum += edges.weight[i]! * Math.log(probability)
  }
  return sum
}

/** Derivative of the log likelihood by each mass; at the maximum it is at most the total weight, and equal to it where there is mass. */
export function massGradient(edges: Edges, distribution: Float64Array): Float64Array {
  const change = new Float64Array(edges.places + 1)
  for (let i = 0; i < edges.from.length; i++) {
    const a = edges.from[i]!
    const b = edges.to[i]!
    const slope = edges.weight[i]! / (distribution[b]! - distribution[a]!)
    change[a]! += slope
    change[b]! -= slope
  }
  const gradient = new Float64Array(edges.places)
  let running = 0
  for (let j = 0; j < edges.places; j++) {
    running += change[j]!
    gradient[j] = running
  }
  return gradient
}

/** How far the Kuhn-Tucker conditions are from holding: the largest of gradient / total - 1. */
export function kuhnTuckerExcess(edges: Edges, gradient: Float64Array): number {
  let largest = -Infinity
  for (const g of gradient) largest = Math.max(largest, g / edges.total - 1)
  return largest
}

/** One step of the EM (self-consistency) algorithm; the masses change in place. */
export function emStep(edges: Edges, mass: Float64Array, gradient: Float64Array): void {
  let sum = 0
  for (let j = 0; j < mass.length; j++) {
    mass[j]! *= gradient[j]! / edges.total
    sum += mass[j]!
  }
  for (let j = 0; j < mass.length; j++) mass[j]! /= sum
}
