import { cholesky, inverseFromCholesky, logDeterminant, solveCholesky } from './dense-matrix.ts'
import type { GroupSums } from './group-sums.ts'

/** Relative covariance of a level's random intercept and slope: Var(b) / residual variance, as (11, 12, 22). */
export type Relative = readonly [number, number, number]

/** The likelihood at one point, and what its derivatives and the random effects rest on. */
export interface Evaluation {
  /** -2 log likelihood (ML) or -2 log REML, the residual variance profiled out. */
  readonly deviance: number
  /** Coefficients of the columns of W before y. */
  readonly beta: Float64Array
  /** Residual sum of squares in the metric of V: rss / degrees is the residual variance. */
  readonly rss: number
  readonly degrees: number
  /** (X'H^-1X)^-1, H = V / residual variance. */
  readonly inverse: Float64Array
  /** d deviance / d Relative, the off-diagonal counted once: symmetric 2 x 2 as (11, 12, 22), innermost level first. */
  readonly gradients: readonly [Float64Array, Float64Array]
  /** d rss / d Relative, as above. */
  readonly rssGradients: readonly [Float64Array, Float64Array]
}

/** U'H^-1U (3 a group) and U'H^-1W (2 x width a group) at each level. */
export interface LevelProducts {
  readonly a: Float64Array
  readonly c: Float64Array
}

/** One coefficient held at a value, in terms of the others: estimates move along `direction` . */
export interface Held {
  /** Row of the coefficient in terms of the working ones: held value = row'beta. */
  readonly row: Float64Array
  readonly value: number
}

/**
 * The profiled deviance of y = X beta + U b_inner + U b_outer + e and its gradient, from sums by group.
 *
 * Per innermost group with S = U'U and relative covariance P: U'H^-1U = (I + S P)^-1 S and U'H^-1W = (I + S P)^-1 U'W, which
 * need no factor of P and so hold on its boundary; an outer level applies the same to the sums of these over its groups.
 * With r = y - X beta, s = U'H^-1r, B = U'H^-1X and M = X'H^-1X,
 *   d deviance / dP = sum(U'H^-1U) - (degrees / rss) sum(s s') - [REML] sum(B M^-1 B').
 *
 * Source: Bates, Mächler, Bolker and Walker (2015) J Stat Softw 67(1), equations 34 to 42; Woodbury's identity.
 */
export class ProfiledDeviance {
  readonly sums: GroupSums
  readonly restricted: boolean
  readonly inner: LevelProducts
  readonly outer: LevelProducts
  /** U_outer'H^-1U_g of each innermost group g with its outer group, 2 x 2 by rows; empty with one level. */
  readonly cross: Float64Array
  evaluations = 0
  private readonly startA: Float64Array
  private readonly startC: Float64Array

  constructor(sums: GroupSums, restricted: boolean) {
    this.sums = sums
    this.restricted = restricted
    const { width, nGroups, nOuter } = sums
    this.inner = { a: new Float64Array(3 * nGroups), c: new Float64Array(2 * width * nGroups) }
    this.outer = { a: new Float64Array(3 * nOuter), c: new Float64Array(2 * width * nOuter) }
    this.cross = new Float64Array(sums.outerOf === null ? 0 : 4 * nGroups)
    this.startA = new Float64Array(3 * nOuter)
    this.startC = new Float64Array(2 * width * nOuter)
  }

  /** Null where X'H^-1X is not positive definite or nothing is left over. */
  at(innerP: Relative, outerP: Relative, held?: Held): Evaluation | null {
    this.evaluations++
    const { sums } = this
    const { width, n } = sums
    const p = width - 1
    const k = sums.ww.slice()
    let logDet = reduce(sums.uu, sums.uw, innerP, width, this.inner, k)
    if (sums.outerOf !== null) {
      this.sumOverOuter(sums.outerOf)
      logDet += reduce(this.startA, this.startC, outerP, width, this.outer, k)
      this.correctInner(sums.outerOf, outerP)
    }
    const m = new Float64Array(p * p)
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++) m[i * p + j] = k[Math.min(i, j) * width + Math.max(i, j)]!
    const lower = cholesky(m, p)
    if (lower === null) return null
    const inverse = inverseFromCholesky(lower, p)
    const xy = Float64Array.from({ length: p }, (_, i) => k[i * width + p]!)
    const beta = solveCholesky(lower, xy, p)
    let rss = k[p * width + p]!
    for (let i = 0; i < p; i++) rss -= beta[i]! * xy[i]!
    if (held) rss += moveTo(held, beta, inverse, p)
    const degrees = this.restricted ? n - p : n
    if (!(rss > 0) || degrees <= 0) return null
    const deviance =
      degrees * (1 + Math.log((2 * Math.PI * rss) / degrees)) +
      logDet +
      (this.restricted ? logDeterminant(lower, p) : 0)
    const levels = [this.inner, ...(sums.outerOf === null ? [] : [this.outer])]
    const parts = levels.map((level) => levelGradients(level, beta, inverse, width, this.restricted))
    const gradients = parts.map(({ trace, squares, quadratic }) =>
      trace.map((t, i) => t - (degrees / rss) * squares[i]! - (this.restricted ? quadratic[i]! : 0)),
    )
    const none = new Float64Array(3)
    return {
      deviance,
      beta,
      rss,
      degrees,
      inverse,
      gradients: [gradients[0]!, gradients[1] ?? none],
      rssGradients: [parts[0]!.squares.map((x) => -x), parts[1]?.squares.map((x) => -x) ?? none],
    }
  }

  private sumOverOuter(outerOf: Int32Array): void {
    const { inner, startA, startC } = this
    const step = 2 * this.sums.width
    startA.fill(0)
    startC.fill(0)
    for (let g = 0; g < outerOf.length; g++) {
      const o = outerOf[g]!
      for (let i = 0; i < 3; i++) startA[3 * o + i]! += inner.a[3 * g + i]!
      for (let i = 0; i < step; i++) startC[step * o + i]! += inner.c[step * g + i]!
    }
  }

  /** U_g'H^-1U_g = A - A P (I + A_o P)^-1 A and U_g'H^-1W = C - A P C_o, H now with the outer level. */
  private correctInner(outerOf: Int32Array, [p11, p12, p22]: Relative): void {
    const { inner, outer, startA } = this
    const { width } = this.sums
    for (let g = 0; g < outerOf.length; g++) {
      const o = outerOf[g]!
      const [a, b, d] = [inner.a[3 * g]!, inner.a[3 * g + 1]!, inner.a[3 * g + 2]!]
      const h11 = a * p11 + b * p12
      const h12 = a * p12 + b * p22
      const h21 = b * p11 + d * p12
      const h22 = b * p12 + d * p22
      const to = 2 * width * g
      const from = 2 * width * o
      for (let i = 0; i < width; i++) {
        inner.c[to + i]! -= h11 * outer.c[from + i]! + h12 * outer.c[from + width + i]!
        inner.c[to + width + i]! -= h21 * outer.c[from + i]! + h22 * outer.c[from + width + i]!
      }
      const f = shrink(startA[3 * o]!, startA[3 * o + 1]!, startA[3 * o + 2]!, [p11, p12, p22])
      // f = (I + A_o P)^-1; columns of f A.
      const x11 = f[0] * a + f[1] * b
      const x12 = f[0] * b + f[1] * d
      const x21 = f[2] * a + f[3] * b
      const x22 = f[2] * b + f[3] * d
      this.cross.set([x11, x12, x21, x22], 4 * g)
      inner.a[3 * g] = a - (h11 * x11 + h12 * x21)
      inner.a[3 * g + 1] = b - (h11 * x12 + h12 * x22)
      inner.a[3 * g + 2] = d - (h21 * x12 + h22 * x22)
    }
  }
}

/** (I + S P)^-1 by rows, and its log determinant's argument last. */
function shrink(
  s11: number,
  s12: number,
  s22: number,
  [p11, p12, p22]: Relative,
): readonly [number, number, number, number, number] {
  const a = 1 + s11 * p11 + s12 * p12
  const b = s11 * p12 + s12 * p22
  const c = s12 * p11 + s22 * p12
  const d = 1 + s12 * p12 + s22 * p22
  const determinant = a * d - b * c
  return [d / determinant, -b / determinant, -c / determinant, a / determinant, determinant]
}

/** One level: products per group into `into`, W'H^-1W brought down in `k` (upper triangle), log det returned. */
function reduce(
  uu: Float64Array,
  uw: Float64Array,
  relative: Relative,
  width: number,
  into: LevelProducts,
  k: Float64Array,
): number {
  const [p11, p12, p22] = relative
  const nGroups = uu.length / 3
  const { a: outA, c: outC } = into
  let logDet = 0
  // Determinants are multiplied up and their logarithm taken rarely.
  let running = 1
  for (let g = 0; g < nGroups; g++) {
    const s11 = uu[3 * g]!
    const s12 = uu[3 * g + 1]!
    const s22 = uu[3 * g + 2]!
    const a = 1 + s11 * p11 + s12 * p12
    const b = s11 * p12 + s12 * p22
    const c = s12 * p11 + s22 * p12
    const d = 1 + s12 * p12 + s22 * p22
    const determinant = a * d - b * c
    running *= determinant
    if (running > 1e200 || running < 1e-200) {
      logDet += Math.log(running)
      running = 1
    }
    const f11 = d / determinant
    const f12 = -b / determinant
    const f21 = -c / determinant
    const f22 = a / determinant
    outA[3 * g] = f11 * s11 + f12 * s12
    outA[3 * g + 1] = f11 * s12 + f12 * s22
    outA[3 * g + 2] = f21 * s12 + f22 * s22
    const at = 2 * width * g
    for (let i = 0; i < width; i++) {
      const u = uw[at + i]!
      const v = uw[at + width + i]!
      const x = f11 * u + f12 * v
      const y = f21 * u + f22 * v
      outC[at + i] = x
      outC[at + width + i] = y
      const px = p11 * x + p12 * y
      const py = p12 * x + p22 * y
      for (let j = 0; j <= i; j++) k[j * width + i]! -= uw[at + j]! * px + uw[at + width + j]! * py
    }
  }
  return logDet + Math.log(running)
}

interface LevelGradients {
  readonly trace: Float64Array
  readonly squares: Float64Array
  readonly quadratic: Float64Array
}

function levelGradients(
  { a, c }: LevelProducts,
  beta: Float64Array,
  inverse: Float64Array,
  width: number,
  restricted: boolean,
): LevelGradients {
  const p = width - 1
  const trace = new Float64Array(3)
  const squares = new Float64Array(3)
  const quadratic = new Float64Array(3)
  let [t1, t2, t3, q1, q2, q3, r1, r2, r3] = [0, 0, 0, 0, 0, 0, 0, 0, 0]
  for (let g = 0; g < a.length / 3; g++) {
    t1 += a[3 * g]!
    t2 += a[3 * g + 1]!
    t3 += a[3 * g + 2]!
    const at = 2 * width * g
    let s = c[at + p]!
    let t = c[at + width + p]!
    for (let j = 0; j < p; j++) {
      const x = c[at + j]!
      const y = c[at + width + j]!
      s -= x * beta[j]!
      t -= y * beta[j]!
      if (!restricted) continue
      let vx = 0
      let vy = 0
      for (let i = 0; i < p; i++) {
        const weight = inverse[j * p + i]!
        vx += weight * c[at + i]!
        vy += weight * c[at + width + i]!
      }
      r1 += vx * x
      r2 += (vx * y + vy * x) / 2
      r3 += vy * y
    }
    q1 += s * s
    q2 += s * t
    q3 += t * t
  }
  trace.set([t1, t2, t3])
  squares.set([q1, q2, q3])
  quadratic.set([r1, r2, r3])
  return { trace, squares, quadratic }
}

/** Moves beta so that row'beta is the held value; returns what that adds to the residual sum of squares. */
function moveTo({ row, value }: Held, beta: Float64Array, inverse: Float64Array, p: number): number {
  const direction = new Float64Array(p)
  for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) direction[i]! += inverse[i * p + j]! * row[j]!
  let variance = 0
  let now = 0
  for (let i = 0; i < p; i++) {
    variance += row[i]! * direction[i]!
    now += row[i]! * beta[i]!
  }
  for (let i = 0; i < p; i++) beta[i]! += ((value - now) / variance) * direction[i]!
  return (value - now) ** 2 / variance
}
