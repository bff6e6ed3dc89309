import type { Day, Stimulus } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView } from '../fieldView.ts'
import type { Interner } from '../interner.ts'
import { readDoneBy, readReaction, readStimulus } from '../interpret/index.ts'
import type { ClientList } from './clients.ts'
import { encoder, timeView } from './encoders.ts'
import { freeText } from './freeText.ts'
import type { Reckoning, TableJob } from './job.ts'
import { type SessionGroup, sessionGroups } from './sessionGroups.ts'
import type { SessionStore } from './sessionStore.ts'
import { Subject } from './subject.ts'

/** A time beside a date that cannot be read, among the codes of times. */
export const UNREADABLE_TIME_OF_DATE = -2

/** What is read of the sessions of one table, each field as codes row by row. */
export interface SessionFields {
  readonly subject: Subject
  readonly time: FieldView
  readonly stimulus: FieldView
  readonly doneBy: FieldView
  readonly reaction: FieldView
  readonly note: (row: number) => number
  readonly recordId: (row: number) => number
  readonly groups: readonly SessionGroup[]
  /** Of each date reading: its day, and the store's codes of the day and of the time beside it (0 none). */
  readonly days: readonly Day[]
  readonly dayCodes: Int32Array
  readonly timeCodes: Int32Array
}

export function sessionFields(
  job: TableJob,
  store: SessionStore,
  clients: ClientList,
  reckoning: Reckoning,
): SessionFields {
  const { table, plan } = job
  const subject = new Subject(job, clients, reckoning, 'done_on')
  const readings = subject.date.readings.values
  return {
    subject,
    time: timeView(table, plan, store.times),
    stimulus: fieldView(table, plan, 'stimulus', encoder(store.stimuli as Interner<Stimulus>, readStimulus)),
    doneBy: fieldView(table, plan, 'done_by', encoder(store.doneBy, readDoneBy)),
    reaction: fieldView(table, plan, 'reaction', encoder(store.reactions, readReaction)),
    note: freeText(job, 'note', store.notes),
    recordId: freeText(job, 'record_id', store.recordIds),
    groups: sessionGroups(job, store, subject),
    days: readings.map((r) => r.day),
    dayCodes: Int32Array.from(readings, (r) => store.days.codeOf(r.day)),
    timeCodes: Int32Array.from(readings, (r) =>
      r.badTime ? UNREADABLE_TIME_OF_DATE : store.times.codeOf(r.time),
    ),
  }
}

/** The only group of a table whose record is one session, told by the record alone; null for a diary by columns. */
export function soleGroup({ groups }: SessionFields): SessionGroup | null {
  const [group, ...others] = groups
  if (group === undefined || others.length > 0 || !group.always) return null
  return group.target === BLANK && group.side === BLANK && group.stimulus === BLANK ? group : null
}
