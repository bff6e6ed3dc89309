import type { Relative } from './profiled-deviance.ts'

/** Which of the two random-effects columns a level has, and whether they are correlated. */
export interface LevelShape {
  readonly first: boolean
  readonly second: boolean
  readonly correlated: boolean
}

const isFull = ({ first, second, correlated }: LevelShape): boolean => first && second && correlated

export const parametersOf = (shape: LevelShape): number =>
  Number(shape.first) + Number(shape.second) + Number(isFull(shape))

export const NO_LEVEL: LevelShape = { first: false, second: false, correlated: false }

/** Cholesky entries [a, b, c] of one level's relative covariance, L = [[a, 0], [b, c]]; absent ones are 0. */
export function unpack(shape: LevelShape, theta: Float64Array, at: number): [number, number, number] {
  const a = shape.first ? theta[at++]! : 0
  const b = isFull(shape) ? theta[at++]! : 0
  return [a, b, shape.second ? theta[at]! : 0]
}

export const relativeOf = ([a, b, c]: readonly [number, number, number]): Relative => [
  a * a,
  a * b,
  b * b + c * c,
]

/** Gradient by Cholesky entries from that by the relative covariance: 2 G L, its lower triangle. */
export function chain(
  shape: LevelShape,
  [a, b, c]: readonly [number, number, number],
  gradient: ArrayLike<number>,
  at = 0,
): number[] {
  const [g11, g12, g22] = [gradient[at]!, gradient[at + 1]!, gradient[at + 2]!]
  const out: number[] = []
  if (shape.first) out.push(2 * (g11 * a + g12 * b))
  if (isFull(shape)) out.push(2 * (g12 * a + g22 * b))
  if (shape.second) out.push(2 * g22 * c)
  return out
}

/** 1 on the diagonal of the factor, 0 beside it. */
export function startOf(shape: LevelShape): number[] {
  const out: number[] = []
  if (shape.first) out.push(1)
  if (isFull(shape)) out.push(0)
  if (shape.second) out.push(1)
  return out
}
