import { cumulate, type Edges, logLikelihood } from './mixture-likelihood.ts'

/**
 * One step of the iterative convex minorant algorithm with line search: an isotonic regression of the diagonal Newton step.
 * Returns the new masses, or the old ones where no step along it helps.
 * Source: Groeneboom and Wellner (1992); Jongbloed (1998) JCGS 7:310-321 for the line search.
 */
export function convexMinorantStep(edges: Edges, mass: Float64Array): Float64Array {
  const m = edges.places
  const current = cumulate(mass)
  current[m] = 1
  const { slope, curvature } = nodeDerivatives(edges, current)
  const goal = new Float64Array(m + 1)
  goal[m] = 1
  const fitted = isotonicRegression(
    Float64Array.from({ length: m - 1 }, (_, j) => current[j + 1]! + slope[j + 1]! / curvature[j + 1]!),
    curvature.subarray(1, m),
  )
  for (let j = 1; j < m; j++) goal[j] = Math.min(1, Math.max(0, fitted[j - 1]!))
  let rise = 0
  for (let j = 1; j < m; j++) rise += slope[j]! * (goal[j]! - current[j]!)
  const start = logLikelihood(edges, current)
  const trial = new Float64Array(m + 1)
  for (let step = 1; step > 1e-8; step /= 2) {
    for (let j = 0; j <= m; j++) trial[j] = current[j]! + step * (goal[j]! - current[j]!)
    if (logLikelihood(edges, trial) >= start + 0.1 * step * rise)
      return Float64Array.from({ length: m }, (_, j) => Math.max(0, trial[j + 1]! - trial[j]!))
  }
  return mass
}

/** First derivative of the log likelihood by each node of F, and minus the second. */
function nodeDerivatives(
  edges: Edges,
  distribution: Float64Array,
): { readonly slope: Float64Array; readonly curvature: Float64Array } {
  const slope = new Float64Array(edges.places + 1)
  const curvature = new Float64Array(edges.places + 1)
  for (let i = 0; i < edges.from.length; i++) {
    const a = edges.from[i]!
    const b = edges.to[i]!
    const inverse = 1 / (distribution[b]! - distribution[a]!)
    const first = edges.weight[i]! * inverse
    slope[a]! -= first
    slope[b]! += first
    curvature[a]! += first * inverse
    curvature[b]! += first * inverse
  }
  return { slope, curvature }
}

/** Weighted least-squares fit that never falls, by pooling adjacent violators. */
function isotonicRegression(values: Float64Array, weights: Float64Array): Float64Array {
  const level = new Float64Array(values.length)
  const weight = new Float64Array(values.length)
  const size = new Int32Array(values.length)
  let blocks = 0
  for (let i = 0; i < values.length; i++) {
    level[blocks] = values[i]!
    weight[blocks] = weights[i]!
    size[blocks] = 1
    blocks++
    while (blocks > 1 && level[blocks - 2]! >= level[blocks - 1]!) {
      const joint = weight[blocks - 2]! + weight[blocks - 1]!
      level[blocks - 2] =
        (level[blocks - 2]! * weight[blocks - 2]! + level[blocks - 1]! * weight[blocks - 1]!) / joint
      weight[blocks - 2] = joint
      size[blocks - 2]! += size[blocks - 1]!
      blocks--
    }
  }
  const fitted = new Float64Array(values.length)
  let at = 0
  for (let b = 0; b < blocks; b++) for (let k = 0; k < size[b]!; k++) fitted[at++] = level[b]!
  return fitted
}
