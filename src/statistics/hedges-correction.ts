import gammaln from '@stdlib/math-base-special-gammaln'

/**
 * Hedges' exact small-sample correction J(df) = Γ(df/2) / (sqrt(df/2) Γ((df−1)/2)) (Hedges 1981, J Educ Stat 6:107–128,
 * equation 6e). Null below 2 degrees of freedom, where it does not exist.
 */
export const hedgesCorrection = (df: number): number | null =>
  df >= 2 ? Math.exp(gammaln(df / 2) - gammaln((df - 1) / 2) - 0.5 * Math.log(df / 2)) : null

/** The usual approximation 1 − 3 / (4 df − 1) (Hedges 1981; Borenstein et al. 2009, equation 4.22). */
export const hedgesCorrectionApproximate = (df: number): number => 1 - 3 / (4 * df - 1)
