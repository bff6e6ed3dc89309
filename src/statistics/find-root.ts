/**
 * The root of a continuous function between two ends of opposite sign, by Brent's method (Brent 1973, Algorithms for
 * Minimization without Derivatives, chapter 4), to machine precision of the abscissa.
 * @throws RangeError where the ends do not differ in sign
 */
export function findRoot(f: (x: number) => number, low: number, high: number): number {
  let a = low
  let b = high
  let fa = f(a)
  let fb = f(b)
  if (fa === 0) return a
  if (fb === 0) return b
  if (fa * fb > 0) throw new RangeError(`no change of sign between ${low} and ${high}`)
  let c = a
  let fc = fa
  let d = b - a
  let e = d
  for (let i = 0; i < 200; i++) {
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b
      b = c
      c = a
      fa = fb
      fb = fc
      fc = fa
    }
    const tolerance = 2 * Number.EPSILON * Math.abs(b)
    const half = (c - b) / 2
    if (Math.abs(half) <= tolerance || fb === 0) return b
    if (Math.abs(e) >= tolerance && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa
      let p: number
      let q: number
      if (a === c) {
        p = 2 * half * s
        q = 1 - s
      } else {
        const r = fb / fc
        const t = fa / fc
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1))
        q = (t - 1) * (r - 1) * (s - 1)
      }
      if (p > 0) q = -q
      p = Math.abs(p)
      if (2 * p < Math.min(3 * half * q - Math.abs(tolerance * q), Math.abs(e * q))) {
        e = d
        d = p / q
      } else {
        d = half
        e = d
      }
    } else {
      d = half
      e = d
    }
    a = b
    fa = fb
    b += Math.abs(d) > tolerance ? d : half > 0 ? tolerance : -tolerance
    fb = f(b)
    if (fb > 0 === fc > 0) {
      c = a
      fc = fa
      d = b - a
      e = d
    }
  }
  return b
}
