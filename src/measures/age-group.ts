/** Bands of age for showing figures apart, from (included) to (excluded), in years. */
export const AGE_GROUPS = [
  { label: 'under 1 year', from: 0, to: 1 },
  { label: '1 to 2 years', from: 1, to: 3 },
  { label: '3 to 5 years', from: 3, to: 6 },
  { label: '6 to 11 years', from: 6, to: 12 },
  { label: '12 to 17 years', from: 12, to: 18 },
  { label: '18 years and over', from: 18, to: Infinity },
] as const

export const AGE_UNKNOWN = 'age unknown'

/** The band of an age in months; unknown age is a group of its own. Below 0 (corrected age of the very young) counts as the first band. */
export function ageGroup(months: number | null): string {
  if (months === null) return AGE_UNKNOWN
  const years = Math.max(0, months / 12)
  return AGE_GROUPS.find((g) => years >= g.from && years < g.to)!.label
}

/** Labels in order of age, unknown last: for sorting groups on a page. */
export const AGE_GROUP_ORDER: readonly string[] = [...AGE_GROUPS.map((g) => g.label), AGE_UNKNOWN]
