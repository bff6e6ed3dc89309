/**
 * Log likelihood, with first and second derivatives, of log T = x'beta + scale * W, W standard smallest extreme value, from
 * times known to lie in (left, right]. Parameters are beta and, last, log scale.
 */
export interface WeibullData {
  readonly left: Float64Array
  readonly right: Float64Array
  /** Design rows, intercept first. */
  readonly design: readonly (readonly number[])[]
}

export interface Derivatives {
  readonly value: number
  readonly gradient: number[]
  /** Minus the matrix of second derivatives. */
  readonly information: number[][]
}

export function weibullLikelihood(data: WeibullData, parameters: readonly number[]): Derivatives {
  const size = parameters.length
  const logScale = parameters[size - 1]!
  const scale = Math.exp(logScale)
  const gradient = new Array<number>(size).fill(0)
  const information = Array.from({ length: size }, () => new Array<number>(size).fill(0))
  let value = 0
  for (let i = 0; i < data.left.length; i++) {
    const row = data.design[i]!
    let centre = 0
    for (let j = 0; j < size - 1; j++) centre += row[j]! * parameters[j]!
    const left = data.left[i]!
    const right = data.right[i]!
    const uLeft = (Math.log(left) - centre) / scale
    const uRight = (Math.log(right) - centre) / scale
    if (left === right) {
      const hazard = Math.exp(uLeft)
      value += -logScale - Math.log(left) + uLeft - hazard
      addTerm(gradient, information, row, scale, uLeft, 1 - hazard, -hazard)
      gradient[size - 1]! -= 1
      continue
    }
    value += addInterval(
      gradient,
      information,
      row,
      scale,
      left > 0 ? uLeft : null,
      Number.isFinite(right) ? uRight : null,
    )
  }
  return { value, gradient, information }
}

/** Adds log(S(left) - S(right)), S = exp(-exp(u)); null is an end at 0 or at infinity. */
function addInterval(
  gradient: number[],
  information: number[][],
  row: readonly number[],
  scale: number,
  uLeft: number | null,
  uRight: number | null,
): number {
  const a = uLeft === null ? 0 : Math.exp(uLeft)
  if (uRight === null) {
    if (uLeft !== null) addTerm(gradient, information, row, scale, uLeft, -a, -a)
    return -a
  }
  const b = Math.exp(uRight)
  const odds = 1 / Math.expm1(b - a)
  const bend = odds * (1 + odds)
  addTerm(gradient, information, row, scale, uRight, odds * b, odds === 0 ? 0 : odds * b - bend * b * b)
  if (uLeft !== null) {
    addTerm(gradient, information, row, scale, uLeft, -(1 + odds) * a, -(1 + odds) * a - bend * a * a)
    if (bend * a * b !== 0) addCross(information, row, scale, uLeft, uRight, bend * a * b)
  }
  return -a + Math.log(-Math.expm1(a - b))
}

/** Adds f(u) with first derivative `first` and second `second` by u, where u = (log t - x'beta) / scale. */
function addTerm(
  gradient: number[],
  information: number[][],
  row: readonly number[],
  scale: number,
  u: number,
  first: number,
  second: number,
): void {
  const last = gradient.length - 1
  const slope = (j: number) => (j === last ? -u : -row[j]! / scale)
  for (let j = 0; j <= last; j++) {
    gradient[j]! += first * slope(j)
    for (let k = 0; k <= last; k++) information[j]![k]! -= second * slope(j) * slope(k)
    if (j < last) {
      information[j]![last]! -= (first * row[j]!) / scale
      information[last]![j]! -= (first * row[j]!) / scale
    }
  }
  information[last]![last]! -= first * u
}

/** Adds the mixed second derivative of a term in two u. */
function addCross(
  information: number[][],
  row: readonly number[],
  scale: number,
  u: number,
  v: number,
  mixed: number,
): void {
  const last = information.length - 1
  const slope = (j: number, w: number) => (j === last ? -w : -row[j]! / scale)
  for (let j = 0; j <= last; j++)
    for (let k = 0; k <= last; k++)
      information[j]![k]! -= mixed * (slope(j, u) * slope(k, v) + slope(j, v) * slope(k, u))
}
