import { TABLE_COLUMNS } from '../records/index.ts'
import type { Field, Kind } from './guide/guide.ts'

/** The fields a table of each kind can hold. */
export const KIND_FIELDS: Readonly<Record<Kind, ReadonlySet<Field>>> = {
  clients: new Set<Field>([...TABLE_COLUMNS.clients, 'record_id']),
  assessments: new Set<Field>([...TABLE_COLUMNS.assessments, 'record_id']),
  programmes: new Set<Field>([...TABLE_COLUMNS.programmes, 'record_id']),
  sessions: new Set<Field>([...TABLE_COLUMNS.sessions, 'record_id']),
}

/** What words that fit several kinds mean in each. */
const IN_KIND: Readonly<Record<Kind, Readonly<Record<string, Field>>>> = {
  clients: { id: 'client_id' },
  assessments: {
    date: 'assessed_on',
    done_on: 'assessed_on',
    target: 'reflex',
    clinician: 'rater_id',
    person: 'rater_id',
    done_by: 'rater_id',
  },
  programmes: {
    date: 'starts_on',
    start: 'starts_on',
    end: 'ends_on',
    reflex: 'target',
    reps: 'reps_per_session',
    seconds: 'seconds_per_session',
    hours: 'seconds_per_session',
    minutes: 'seconds_per_session',
  },
  sessions: {
    date: 'done_on',
    time: 'done_at',
    reflex: 'target',
    person: 'done_by',
    reps_per_session: 'reps',
    seconds_per_session: 'seconds',
    minutes: 'seconds',
    hours: 'seconds',
    start: 'done_at',
    assessed_on: 'done_on',
  },
}
/** Of these a heading alone is no proof; they are taken where the guide says them. */
export const GUIDE_ONLY: ReadonlySet<string> = new Set(['programmes date', 'sessions assessed_on'])

/** The field of ours that a meaning is in a table of one kind, or null where it has none. */
export function fieldIn(kind: Kind, meaning: string): Field | null {
  const fields = KIND_FIELDS[kind]
  if (fields.has(meaning as Field)) return meaning as Field
  return IN_KIND[kind][meaning] ?? null
}
