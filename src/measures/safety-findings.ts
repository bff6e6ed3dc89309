import {
  type Client,
  chronologicalAgeMonths,
  DAYS_PER_MONTH,
  type Day,
  formatDay,
  type Records,
  targetName,
} from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import { hasCaution, INFANT_MONTHS, type ReactionEvent } from './reaction-events.ts'
import { seriesId } from './series.ts'
import type { StatusResult } from './status.ts'
import {
  intensityJumps,
  type RecordedDays,
  recordedDays,
  type StimulusRecord,
  stimulusRecords,
} from './stimulus-record.ts'

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

const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

function reactionKind(event: ReactionEvent, client: Client): SafetyKind | null {
  switch (event.reaction) {
    case 'seizure':
      return 'seizure reaction'
    case 'breathing':
      return 'breathing reaction'
    case 'colour':
      return 'colour reaction'
    case 'vomiting':
    case 'sleepy':
      return hasCaution(client, 'shunt') ? 'vomiting or sleepy with a shunt' : null
    default:
      return null
  }
}

/** Seizure, breathing and colour reactions; vomiting or sleepy with a shunt. */
export function reactionFindings(events: readonly ReactionEvent[], here: Here): Finding[] {
  return events.flatMap((event): Finding[] => {
    const client = here(event.client_id)
    const kind = client === null ? null : reactionKind(event, client)
    if (kind === null) return []
    const at = event.at === null ? '' : ` at ${event.at}`
    const how = event.stimulus === null ? 'stimulus not recorded' : event.stimulus
    return [
      {
        client_id: event.client_id,
        kind,
        from: event.day,
        to: event.day,
        what: `${sentence(event.reaction)} recorded on ${formatDay(event.day)}${at} (${targetName(event.target)}, ${event.sides.join(' and ')}, ${how}).`,
        seriesIds: event.sides.map((side) => seriesId(event.client_id, event.target, side)),
      },
    ]
  })
}

/** Reflexes that were gone by a confirmed run of zeros and are positive again; the event is the day they were back. */
export function returnedFindings(statuses: StatusResult, here: Here): Finding[] {
  return statuses.series.flatMap((s): Finding[] => {
    if (s.status !== 'returned' || here(s.series.client_id) === null) return []
    const { client_id, reflex, side, id, scaleMax } = s.series
    return [
      {
        client_id,
        kind: 'returned reflex',
        from: s.backOn!,
        to: s.backOn!,
        what: `${targetName(reflex)}, ${side}: absent from ${formatDay(s.integratedOn!)}, positive again on ${formatDay(s.backOn!)}; ${Number(s.last.score.toFixed(2))} of ${scaleMax} on ${formatDay(s.last.day)}.`,
        seriesIds: [id],
      },
    ]
  })
}

/**
 * Extensor plantar positive at the last assessment past 24 months (chronological). New where it was not so at the
 * assessment before (or there is none); otherwise, and where the age is not recorded, it is known.
 */
export function extensorPlantarFindings(statuses: StatusResult, here: Here): Finding[] {
  return statuses.series.flatMap(({ series }): Finding[] => {
    const client = here(series.client_id)
    const last = series.occasions.at(-1)!
    if (series.reflex !== 'extensor_plantar' || client === null || last.severity === 0) return []
    const age = chronologicalAgeMonths(client, last.day)
    if (age !== null && age < INFANT_MONTHS) return []
    const before = series.occasions.at(-2)
    const beforeAge = before === undefined ? null : chronologicalAgeMonths(client, before.day)
    const sameBefore =
      before !== undefined && before.severity > 0 && beforeAge !== null && beforeAge >= INFANT_MONTHS
    return [
      {
        client_id: series.client_id,
        kind: 'extensor plantar past 24 months',
        from: last.day,
        to: last.day,
        what: `Extensor plantar, ${series.side}: ${Number(last.score.toFixed(2))} of ${series.scaleMax} on ${formatDay(last.day)} at ${
          age === null ? 'an age that is not recorded' : `${Math.floor(age)} months`
        }${before === undefined ? ', the first score' : sameBefore ? ', as at the assessment before' : ', not so at the assessment before'}.`,
        seriesIds: [series.id],
        known: sameBefore || age === null,
      },
    ]
  })
}

const CAUTION_KINDS = {
  implanted_device: 'electrical stimulation, implanted device',
  heart_rhythm: 'electrical stimulation, heart rhythm',
  seizures: 'electrical stimulation, seizures',
  pregnancy: 'electrical stimulation, pregnancy',
  skin: 'electrical stimulation, skin',
} as const satisfies Partial<Record<Client['cautions'][number], SafetyKind>>

const seriesOf = (record: StimulusRecord): string[] => [
  ...new Set([
    ...record.sessions.map((s) => seriesId(s.client_id, s.target, s.side)),
    ...record.lines.map((l) => seriesId(l.client_id, l.target, l.side)),
  ]),
]

/** One finding for all days of a record, so that a daily log is one entry. */
function overDays(
  record: StimulusRecord,
  kind: SafetyKind,
  days: readonly RecordedDays[],
  because: string,
): Finding[] {
  if (days.length === 0) return []
  const from = days.reduce((day, d) => Math.min(day, d.from), Infinity)
  const to = days.reduce((day, d) => Math.max(day, d.to), -Infinity)
  const sessions = days.filter((d) => d.of === 'session').length
  const lines = days.length - sessions
  const parts = [
    sessions > 0 ? `${sessions} ${sessions === 1 ? 'session' : 'sessions'}` : '',
    lines > 0 ? `${lines} programme ${lines === 1 ? 'line' : 'lines'}` : '',
  ].filter(Boolean)
  return [
    {
      client_id: record.client_id,
      kind,
      from,
      to,
      what: `${kind.startsWith('vibration') ? 'Vibration' : 'Electrical stimulation'} on record from ${formatDay(from)} to ${formatDay(to)} (${parts.join(', ')}); ${because}.`,
      seriesIds: seriesOf(record),
    },
  ]
}

/** The days on which the client was under 24 months; all of them cut off the day before that age. */
function underAge(client: Client, days: readonly RecordedDays[]): RecordedDays[] {
  if (client.birth_date === null) return []
  const lastDay = Math.ceil(client.birth_date + INFANT_MONTHS * DAYS_PER_MONTH) - 1
  return days.filter((d) => d.from <= lastDay).map((d) => ({ ...d, to: Math.min(d.to, lastDay) }))
}

function ofElectrical(record: StimulusRecord, client: Client, asOf: Day): Finding[] {
  const days = recordedDays(record, asOf)
  const cautions = client.cautions.flatMap((caution) =>
    caution in CAUTION_KINDS
      ? overDays(
          record,
          CAUTION_KINDS[caution as keyof typeof CAUTION_KINDS],
          days,
          `caution on record: ${caution.replaceAll('_', ' ')}`,
        )
      : [],
  )
  const jumps = intensityJumps(record.sessions).map(
    (j): Finding => ({
      client_id: record.client_id,
      kind: 'electrical stimulation, level raised by two or more',
      from: j.day,
      to: j.day,
      what: `Electrical stimulation at level ${j.after} on ${formatDay(j.day)}, after level ${j.before} on ${formatDay(j.beforeOn)} (${targetName(j.session.target)}, ${j.session.side}).`,
      seriesIds: [seriesId(record.client_id, j.session.target, j.session.side)],
    }),
  )
  return [
    ...cautions,
    ...overDays(
      record,
      'electrical stimulation, under 24 months',
      underAge(client, days),
      'under 24 months on those days',
    ),
    ...jumps,
    ...(client.cautions.length === 0
      ? overDays(
          record,
          'electrical stimulation, cautions not recorded',
          days,
          'cautions not recorded, which is not “none”',
        )
      : []),
    ...(client.birth_date === null
      ? overDays(
          record,
          'electrical stimulation, birth date not recorded',
          days,
          'birth date not recorded, so age cannot be told',
        )
      : []),
  ]
}

/** Electrical stimulation on record, in sessions or programme lines, for clients with a caution, under 24 months, or with a raised level. */
export function electricalFindings(records: Records, here: Here, options: AsOf): Finding[] {
  const found = stimulusRecords(records, 'electrical', (id) => here(id) !== null, options)
  return [...found.values()].flatMap((record) => ofElectrical(record, here(record.client_id)!, options.asOf))
}

/** Vibration on record for a client with a fracture risk (common practice). */
export function vibrationFindings(records: Records, here: Here, options: AsOf): Finding[] {
  const wanted = (id: string): boolean => {
    const client = here(id)
    return client !== null && hasCaution(client, 'fracture_risk')
  }
  return [...stimulusRecords(records, 'vibration', wanted, options).values()].flatMap((record) =>
    overDays(
      record,
      'vibration, fracture risk',
      recordedDays(record, options.asOf),
      'caution on record: fracture risk',
    ),
  )
}
