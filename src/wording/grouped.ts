const BRITISH = new Intl.NumberFormat('en-GB')

/** `4,430`. */
export const grouped = (n: number): string => BRITISH.format(n)
