import {
  type Client,
  DAYS_PER_MONTH,
  type Day,
  formatDay,
  type Records,
  targetName,
} from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import { hasCaution, INFANT_MONTHS } from './reaction-events.ts'
import type { Finding, Here, SafetyKind } from './safety-kinds.ts'
import { seriesId } from './series.ts'
import {
  intensityJumps,
  type RecordedDays,
  recordedDays,
  type StimulusRecord,
  stimulusRecords,
} from './stimulus-record.ts'

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
