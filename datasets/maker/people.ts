import { type Caution, type Client, type Day, REFLEXES, type Reflex } from '../../src/records/index.ts'
import { AS_OF, CLINICIANS, FIRST, LAST, PARAMETERS, type SiteName } from './clinic.ts'
import type { Random } from './random.ts'

/** A client of the invented clinic with the truth behind the records. */
export interface Person {
  readonly client: Client
  readonly site: SiteName
  readonly reflexes: readonly Reflex[]
  /** The side that the programme emphasises. */
  readonly emphasis: 'left' | 'right'
  readonly adherence: number
  readonly naturalSlope: number
  readonly programmeSlope: number
  readonly waiting: boolean
  /** Last day on which the family still logs, null where it goes on. */
  readonly stopsOn: Day | null
  /** What was planted in this client's records on purpose; most have nothing. */
  readonly story: Story | null
}

/** One of each is planted, so that every line of a caseload review has someone to show. */
export const STORIES = [
  'seizure_reaction_last_week',
  'electrical_with_seizures_on_record',
  'colour_reaction_long_ago',
  'reflex_returned',
  'reflex_wavering',
  'extensor_plantar_new_at_four_years',
  'rising',
  'never_started',
  'overdoing',
  'sides_swapped',
  'no_assessment',
  'birth_date_unknown',
  'no_programme',
  'electrical_without_cautions_recorded',
  'stuck',
  'intensity_jump',
] as const
export type Story = (typeof STORIES)[number]

/** Months at enrolment, so that the caseload runs from infants to adults. */
function ageAtEnrolment(rng: Random): number {
  const u = rng.uniform()
  if (u < 0.18) return rng.whole(3, 14)
  if (u < 0.36) return rng.whole(15, 36)
  if (u < 0.68) return rng.whole(37, 120)
  if (u < 0.82) return rng.whole(121, 216)
  return rng.whole(217, 780)
}

function cautionsOf(rng: Random): readonly Caution[] {
  if (rng.chance(0.62)) return []
  const all: readonly Caution[] = [
    'fracture_risk',
    'heart_rhythm',
    'implanted_device',
    'seizures',
    'shunt',
    'skin',
  ]
  return rng
    .shuffled(all)
    .slice(0, rng.chance(0.2) ? 2 : 1)
    .sort()
}

function person(rng: Random, site: SiteName, client_id: string, story: Story | null): Person {
  const enrolled_on = rng.whole(FIRST, LAST)
  const months =
    story === 'extensor_plantar_new_at_four_years' ? 50 : Math.max(ageAtEnrolment(rng), story ? 30 : 0)
  const gestation_weeks = rng.chance(0.3)
    ? null
    : months < 40 && rng.chance(0.45)
      ? rng.whole(26, 36)
      : rng.whole(37, 41)
  const leaves = story === null && rng.chance(0.2) ? enrolled_on + rng.whole(90, 200) : null
  const discharged_on = leaves !== null && leaves < AS_OF ? leaves : null
  const count = rng.whole(2, 4)
  const usual = rng.shuffled(REFLEXES.filter((r) => r !== 'extensor_plantar')).slice(0, count)
  const reflexes =
    story === 'extensor_plantar_new_at_four_years' || rng.chance(0.15)
      ? [...usual, 'extensor_plantar' as const]
      : usual
  const [low, high] = PARAMETERS.adherence_range
  const electrical = story === 'electrical_with_seizures_on_record'
  return {
    client: {
      client_id,
      birth_date:
        story === 'birth_date_unknown' ? null : enrolled_on - Math.round(months * 30.4375) - rng.whole(0, 27),
      gestation_weeks,
      sex: rng.chance(0.04) ? null : rng.chance(0.46) ? 'female' : 'male',
      site,
      clinician: rng.pick(CLINICIANS[site]),
      group: months < 37 ? 'early years' : months < 217 ? 'school age' : 'adult injury',
      enrolled_on,
      discharged_on,
      discharge_reason:
        discharged_on === null ? null : rng.pick(['completed', 'completed', 'moved', 'stopped', 'referred']),
      cautions: electrical
        ? ['seizures']
        : story === 'electrical_without_cautions_recorded'
          ? []
          : cautionsOf(rng),
      research_consent: rng.chance(0.72) ? 'yes' : rng.chance(0.6) ? 'no' : 'unknown',
    },
    site,
    reflexes: reflexes.sort(),
    emphasis: rng.chance(0.55) ? 'left' : 'right',
    adherence: story === 'overdoing' ? 0.97 : low + (high - low) * rng.uniform(),
    naturalSlope: rng.normal(PARAMETERS.natural_slope_per_month, PARAMETERS.natural_slope_sd),
    programmeSlope: rng.normal(PARAMETERS.programme_slope_per_month, PARAMETERS.programme_slope_sd),
    waiting: rng.chance(PARAMETERS.waiting_share),
    stopsOn:
      story === null && rng.chance(PARAMETERS.families_who_stop) ? enrolled_on + rng.whole(50, 120) : null,
    story,
  }
}

/** All clients of all sites, in the order of their codes. */
export function people(rng: Random): Person[] {
  const sites = Object.entries(PARAMETERS.clients_per_site).flatMap(([site, n]) =>
    Array.from({ length: n }, () => site as SiteName),
  )
  const stories: (Story | null)[] = [...STORIES, ...sites.slice(STORIES.length).map(() => null)]
  const cast = rng.shuffled(stories)
  let code = 2100
  return sites.map((site, i) => {
    code += rng.whole(1, 9)
    return person(rng, site, `SM-${code}`, cast[i] ?? null)
  })
}
