import gammaln from '@stdlib/math-base-special-gammaln'

/** The logarithm of the density of x = log(sqrt(chi-square / df)), its large terms cancelled by hand. It peaks at 0. */
export function logChiDensity(df: number): (x: number) => number {
  const half = df / 2
  const y = 1 / (half * half)
  const constant =
    half < 16
      ? Math.LN2 + half * Math.log(half) - half - gammaln(half)
      : Math.LN2 +
        0.5 * Math.log(half / (2 * Math.PI)) -
        (1 / 12 - y * (1 / 360 - y * (1 / 1260 - y * (1 / 1680 - y / 1188)))) / half
  return (x) => constant - df * (Math.expm1(2 * x) / 2 - x)
}

/** Where a decreasing function passes 0, between two ends: `within` so much, or as near as doubles stand. */
export function passage(f: (x: number) => number, from: number, to: number, within: number): number {
  let low = from
  let high = to
  while (high - low > within) {
    const middle = (low + high) / 2
    if (middle <= low || middle >= high) break
    if (f(middle) > 0) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** The first of x, x ± 1, x ± 3, x ± 7 … where a function is no longer positive. */
export function beyond(f: (x: number) => number, x: number, direction: 1 | -1): number {
  let at = x
  for (let step = 1; f(at) > 0; step *= 2) at += direction * step
  return at
}

/** How far, on both sides of its peak, the logarithm of a function stays within `deep` of its height there. */
export function reachOf(
  log: (x: number) => number,
  peak: number,
  deep: number,
  within: number,
): readonly [number, number] {
  const floor = log(peak) - deep
  const above = (x: number): number => log(x) - floor
  return [
    passage((x) => -above(x), beyond(above, peak, -1), peak, within),
    passage(above, peak, beyond(above, peak, 1), within),
  ]
}
