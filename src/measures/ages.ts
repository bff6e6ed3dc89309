import { ageMonths, type Client, type Day, type Reflex, upperAgeMonths } from '../records/index.ts'

export type AgeStanding = 'age-appropriate' | 'past its usual age' | 'age unknown'

/** Age of a client on a day beside the usual upper age of a reflex. Months. */
export interface SeriesAge {
  /** Corrected under 24 months for those born before 37 weeks; null where the birth date is unknown. */
  readonly ageMonths: number | null
  /** The latest upper age of all sources. */
  readonly upperAgeMonths: number
  readonly standing: AgeStanding
  /** True where gestation is unknown under 24 months, so that term was taken for granted. */
  readonly assumedTerm: boolean
}

/**
 * Whether a reflex is age-appropriate on a day: below the latest of all sources' upper ages. Exactly that age counts
 * as past. Unknown age is its own answer.
 */
export function seriesAge(client: Client | undefined, reflex: Reflex, day: Day): SeriesAge {
  const months = client === undefined ? null : ageMonths(client, day)
  const upper = upperAgeMonths(reflex)
  return {
    ageMonths: months,
    upperAgeMonths: upper,
    standing: months === null ? 'age unknown' : months < upper ? 'age-appropriate' : 'past its usual age',
    assumedTerm: months !== null && months < 24 && client?.gestation_weeks === null,
  }
}
