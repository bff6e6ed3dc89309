import type { Client, Day } from '../records/index.ts'

const CLINICIAN = 'A licensed clinician should look today.'
const entry = (commonPractice = false, whoLooks = CLINICIAN) => ({ commonPractice, whoLooks })

/** What the list can say, most urgent first. */
export const SAFETY_KINDS = {
  'seizure reaction': entry(),
  'breathing reaction': entry(),
  'colour reaction': entry(),
  'unread reaction': entry(
    false,
    'Somebody who can see the original record should look today, with a licensed clinician.',
  ),
  'electrical stimulation, implanted device': entry(),
  'electrical stimulation, heart rhythm': entry(),
  'electrical stimulation, seizures': entry(),
  'electrical stimulation, pregnancy': entry(),
  'electrical stimulation, skin': entry(),
  'electrical stimulation, under 24 months': entry(),
  'electrical stimulation, level raised by two or more': entry(),
  'vomiting or sleepy with a shunt': entry(true),
  'extensor plantar past 24 months': entry(),
  'returned reflex': entry(),
  'vibration, fracture risk': entry(true),
  'electrical stimulation, cautions not recorded': entry(),
  'electrical stimulation, birth date not recorded': entry(),
} as const
export type SafetyKind = keyof typeof SAFETY_KINDS

/** One thing recorded, or one stretch of days on which it is on record. */
export interface Finding {
  readonly client_id: string
  readonly kind: SafetyKind
  readonly from: Day
  readonly to: Day
  readonly what: string
  readonly seriesIds: readonly string[]
  /** True where it is not new, whatever its date: it belongs under "known". */
  readonly known?: boolean
}

/** The client, where still here; null for one who was discharged or is in no table. */
export type Here = (client: string) => Client | null
