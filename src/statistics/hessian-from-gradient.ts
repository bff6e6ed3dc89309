/** Hessian, k x k by rows, by central differences of a gradient; `stepAt` says how far to move a parameter of this size. */
export function hessianFromGradient(
  gradient: (x: Float64Array) => Float64Array,
  x: Float64Array,
  stepAt: (value: number) => number,
): Float64Array {
  const k = x.length
  const hessian = new Float64Array(k * k)
  for (let j = 0; j < k; j++) {
    const h = stepAt(x[j]!)
    const side = (sign: number) => gradient(x.map((value, i) => (i === j ? value + sign * h : value)))
    const up = side(1)
    const down = side(-1)
    for (let i = 0; i < k; i++) hessian[i * k + j] = (up[i]! - down[i]!) / (2 * h)
  }
  for (let i = 0; i < k; i++)
    for (let j = 0; j < i; j++) {
      const mean = (hessian[i * k + j]! + hessian[j * k + i]!) / 2
      hessian[i * k + j] = mean
      hessian[j * k + i] = mean
    }
  return hessian
}
