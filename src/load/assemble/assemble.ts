import {
  type Assessment,
  type ProgrammeLine,
  type Records,
  type UnreadReaction,
  withProblems,
} from '../../records/index.ts'
import { readAssessments } from './assessments.ts'
import { ClientList, readClients } from './clients.ts'
import { FoundRows } from './foundRows.ts'
import type { Reckoning, TableJob } from './job.ts'
import { readProgrammes } from './programmes.ts'
import {
  withoutDuplicateAssessments,
  withoutDuplicateClients,
  withoutDuplicateProgrammes,
} from './rowDuplicates.ts'
import { dropDuplicateSessions } from './sessionDuplicates.ts'
import { SessionStore } from './sessionStore.ts'
import { SessionReader } from './sessions.ts'

/** All records but sessions: clients, and what names them. */
export interface SmallTables {
  readonly clients: Records['clients']
  readonly list: ClientList
  readonly assessments: Records['assessments']
  readonly programmes: Records['programmes']
}

const ofKind = (jobs: readonly TableJob[], kind: TableJob['plan']['kind']): TableJob[] =>
  jobs.filter((job) => job.plan.kind === kind)

/** Clients first, since every other record must name one; then each kind in the order of files and records. */
export function assembleSmallTables(jobs: readonly TableJob[], reckoning: Reckoning): SmallTables {
  const { log } = reckoning
  const clientJobs = ofKind(jobs, 'clients')
  const clients = withoutDuplicateClients(
    clientJobs.flatMap((job) => readClients(job, reckoning)),
    log,
  )
  const list = new ClientList(clientJobs.length > 0 ? clients : null)
  const scores = new FoundRows<Assessment>()
  for (const job of ofKind(jobs, 'assessments')) readAssessments(job, list, reckoning, scores)
  const assessments = withoutDuplicateAssessments(scores, log)
  const lines = new FoundRows<ProgrammeLine>()
  for (const job of ofKind(jobs, 'programmes')) readProgrammes(job, list, reckoning, lines)
  return { clients, list, assessments, programmes: withoutDuplicateProgrammes(lines, log) }
}

/**
 * The five tables from all raw ones: sessions after all others. Duplicates are judged over all files of a kind.
 *
 * @param small the other tables, where they were assembled already from the same jobs with the same reckoning
 */
export function assemble(
  jobs: readonly TableJob[],
  reckoning: Reckoning,
  small = assembleSmallTables(jobs, reckoning),
): Records {
  const { clients, list, assessments, programmes } = small
  const unread: UnreadReaction[] = []
  const sessions = assembleSessions(ofKind(jobs, 'sessions'), list, reckoning, unread)
  const found = ofKind(jobs, 'clients').length > 0 ? clients : list.ids.values.map(unknownButForId)
  return withProblems(
    { clients: found, assessments, programmes, sessions, unreadReactions: unread },
    reckoning.log.table(),
  )
}

function assembleSessions(
  jobs: readonly TableJob[],
  clients: ClientList,
  reckoning: Reckoning,
  unread: UnreadReaction[],
): Records['sessions'] {
  const store = new SessionStore()
  store.expect(jobs.reduce((rows, { table }) => rows + table.length, 0))
  const readers = jobs.map((job) => {
    const reader = new SessionReader(job, store, clients, reckoning, unread)
    reader.read()
    return reader
  })
  const rows = store.finish()
  const dropped = dropDuplicateSessions({ ...rows, store }, reckoning.log, (table, row) =>
    readers[table]?.noteConflict(row),
  )
  return store.table(rows.columns, dropped, clients)
}

/** A client of whom no file tells more than that records name it. */
const unknownButForId = (client_id: string): Records['clients'][number] => ({
  client_id,
  birth_date: null,
  gestation_weeks: null,
  sex: null,
  site: null,
  clinician: null,
  group: null,
  enrolled_on: null,
  discharged_on: null,
  discharge_reason: null,
  cautions: [],
  research_consent: null,
})
