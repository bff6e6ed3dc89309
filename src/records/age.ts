import { DAYS_PER_MONTH, type Day } from './day.ts'
import type { Client } from './tables.ts'

/** Age in months on a day: chronological from the birth date, or null where that is not known. */
export const chronologicalAgeMonths = (client: Pick<Client, 'birth_date'>, day: Day): number | null =>
  client.birth_date === null ? null : (day - client.birth_date) / DAYS_PER_MONTH

/**
 * Age in months on a day, corrected for prematurity: under 24 months (chronological) and born before 37 weeks,
 * less (40 − gestation_weeks) weeks. Unknown gestation counts as term. Null where the birth date is not known.
 * The step at 24 months is the convention, not an error: correction stops there.
 */
export function ageMonths(client: Pick<Client, 'birth_date' | 'gestation_weeks'>, day: Day): number | null {
  const months = chronologicalAgeMonths(client, day)
  if (months === null) return null
  const weeks = client.gestation_weeks
  if (months >= 24 || weeks === null || weeks >= 37) return months
  return months - ((40 - weeks) * 7) / DAYS_PER_MONTH
}
