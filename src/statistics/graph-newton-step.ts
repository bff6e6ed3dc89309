import { cumulate, type Edges } from './mixture-likelihood.ts'

/** Newton's step of the masses and its decrement, by preconditioned conjugate gradients in F (the Hessian is a graph's Laplacian). */
export function newtonStep(edges: Edges, mass: Float64Array): { step: Float64Array; decrement: number } {
  const k = edges.places
  const distribution = cumulate(mass)
  const conductance = new Float64Array(edges.from.length)
  const slope = new Float64Array(k + 1)
  const diagonal = new Float64Array(k + 1)
  const beside = new Float64Array(k + 1)
  for (let i = 0; i < edges.from.length; i++) {
    const a = edges.from[i]!
    const b = edges.to[i]!
    const inverse = 1 / (distribution[b]! - distribution[a]!)
    const c = edges.weight[i]! * inverse * inverse
    conductance[i] = c
    slope[a]! -= edges.weight[i]! * inverse
    slope[b]! += edges.weight[i]! * inverse
    diagonal[a]! += c
    diagonal[b]! += c
    if (b === a + 1) beside[b]! += c
  }
  const multiply = (x: Float64Array, out: Float64Array) => {
    out.fill(0)
    for (let i = 0; i < edges.from.length; i++) {
      const flow = conductance[i]! * (x[edges.to[i]!]! - x[edges.from[i]!]!)
      out[edges.to[i]!]! += flow
      out[edges.from[i]!]! -= flow
    }
    out[0] = 0
    out[k] = 0
  }
  const shift = conjugateGradients(multiply, tridiagonalSolver(diagonal, beside), slope)
  let decrement = 0
  for (let j = 1; j < k; j++) decrement += slope[j]! * shift[j]!
  return { step: Float64Array.from({ length: k }, (_, j) => shift[j + 1]! - shift[j]!), decrement }
}

/** Solves the tridiagonal part of the Hessian on the inner nodes (the ends are held), for the preconditioner. */
function tridiagonalSolver(diagonal: Float64Array, beside: Float64Array) {
  const k = diagonal.length - 1
  const pivot = new Float64Array(k + 1)
  // The tiny addition keeps parts that the likelihood leaves undetermined from a zero pivot.
  for (let j = 1; j < k; j++)
    pivot[j] = diagonal[j]! * (1 + 1e-12) - (j > 1 ? beside[j]! ** 2 / pivot[j - 1]! : 0)
  return (right: Float64Array, out: Float64Array) => {
    out.fill(0)
    for (let j = 1; j < k; j++) out[j] = right[j]! + (j > 1 ? (beside[j]! * out[j - 1]!) / pivot[j - 1]! : 0)
    for (let j = k - 1; j >= 1; j--)
      out[j] = (out[j]! + (j < k - 1 ? beside[j + 1]! * out[j + 1]! : 0)) / pivot[j]!
  }
}

type Apply = (x: Float64Array, out: Float64Array) => void

function conjugateGradients(multiply: Apply, precondition: Apply, slope: Float64Array): Float64Array {
  const size = slope.length
  const x = new Float64Array(size)
  const residual = slope.slice()
  residual[0] = 0
  residual[size - 1] = 0
  const z = new Float64Array(size)
  const image = new Float64Array(size)
  precondition(residual, z)
  let along = dot(residual, z)
  const goal = along * 1e-26
  const direction = z.slice()
  for (let i = 0; i < 2 * size + 20 && along > goal; i++) {
    multiply(direction, image)
    const curvature = dot(direction, image)
    if (!(curvature > 0)) break
    const step = along / curvature
    for (let j = 0; j < size; j++) {
      x[j]! += step * direction[j]!
      residual[j]! -= step * image[j]!
    }
    precondition(residual, z)
    const next = dot(residual, z)
    const ratio = next / along
    for (let j = 0; j < size; j++) direction[j] = z[j]! + ratio * direction[j]!
    along = next
  }
  return x
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let j = 0; j < a.length; j++) sum += a[j]! * b[j]!
  return sum
}
