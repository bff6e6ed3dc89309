import { type Client, type Day, formatDay, type Records } from '../records/index.ts'
import { type AsOf, clientsById, isDischarged } from './as-of.ts'
import { reactionEvents } from './reaction-events.ts'
import { ExclusionTally, type MeasureResult, measureResult } from './result.ts'
import {
  electricalFindings,
  extensorPlantarFindings,
  type Finding,
  reactionFindings,
  returnedFindings,
  SAFETY_KINDS,
  type SafetyKind,
  vibrationFindings,
} from './safety-findings.ts'
import { compareText } from './series.ts'
import { type StatusOptions, type StatusResult, seriesStatuses } from './status.ts'

/** Days before the as-of day from which an event is on the same-day list, the first included. */
export const SAME_DAY_LIST_DAYS = 14

export interface SafetyOptions extends StatusOptions, AsOf {
  /** First day of the events that are on the same-day list; 14 days before the as-of day unless given. Older ones are "known". */
  readonly since?: Day
  /** Statuses already worked out for the same records and as-of day. */
  readonly statuses?: StatusResult
}

/** What was recorded of one client and who should look. It never says what to do. */
export interface SafetyEntry {
  /** null where a record that could not be read does not say. */
  readonly client_id: string | null
  readonly kind: SafetyKind
  readonly firstOn: Day | null
  readonly lastOn: Day | null
  /** Events since `since`, and before. */
  readonly recent: number
  readonly earlier: number
  /** A sentence: what was recorded, when. */
  readonly evidence: string
  readonly whoLooks: string
  /** Series the entry is about, for links. */
  readonly seriesIds: readonly string[]
  /** True where the rule is common practice beside the written definitions. */
  readonly commonPractice: boolean
}

export interface SafetyResult extends MeasureResult {
  readonly since: Day
  /** A person must look at these today, most urgent first. */
  readonly today: readonly SafetyEntry[]
  /** Older events of clients who are still here. */
  readonly known: readonly SafetyEntry[]
}

/** Findings of one client and kind as one entry. */
function entryOf(findings: readonly Finding[], since: Day): SafetyEntry {
  const ordered = [...findings].sort((a, b) => a.to - b.to)
  const latest = ordered.at(-1)!
  const recent = ordered.filter((f) => f.to >= since)
  const others = ordered.length - 1
  const firstOn = ordered.reduce((day, f) => Math.min(day, f.from), latest.from)
  return {
    client_id: latest.client_id,
    kind: latest.kind,
    firstOn,
    lastOn: latest.to,
    recent: recent.length,
    earlier: ordered.length - recent.length,
    evidence:
      latest.what +
      (others === 0
        ? ''
        : firstOn === latest.to
          ? ` ${others} more on that day.`
          : ` ${others} more on record since ${formatDay(firstOn)}.`),
    whoLooks: SAFETY_KINDS[latest.kind].whoLooks,
    seriesIds: [...new Set(ordered.flatMap((f) => f.seriesIds))],
    commonPractice: SAFETY_KINDS[latest.kind].commonPractice,
  }
}

type Unread = NonNullable<Records['unreadReactions']>[number]

/** Where a reader kept no list of them, unreadable reactions are found among the problems. */
const unreadOf = (records: Records): readonly Unread[] =>
  records.unreadReactions ??
  records.problems
    .filter((p) => p.field === 'reaction' && p.rule !== 'missing_value')
    .map((p) => ({
      file: p.file,
      record: p.record,
      value: p.value,
      why: p.outcome === 'rejected' ? 'session rejected' : 'unreadable',
      client_id: null,
      done_on: null,
    }))

/** Reactions that are in no table: nobody knows what they say, so somebody must look. One entry a client, file and text. */
function unreadEntries(records: Records, gone: ReadonlySet<string>, since: Day): SafetyEntry[] {
  const groups = new Map<string, Unread[]>()
  for (const u of unreadOf(records)) {
    if (u.client_id !== null && gone.has(u.client_id)) continue
    const key = JSON.stringify([u.client_id, u.file, u.value, u.why])
    const group = groups.get(key)
    if (group) group.push(u)
    else groups.set(key, [u])
  }
  return [...groups.values()].map((group) => unreadEntry(group, since))
}

function unreadEntry(group: readonly Unread[], since: Day): SafetyEntry {
  const first = group[0]!
  const days = group.flatMap((u) => u.done_on ?? [])
  const recent = group.filter((u) => u.done_on === null || u.done_on >= since).length
  const more = group.length === 1 ? '' : ` and ${group.length - 1} more`
  const rejected = first.why === 'session rejected' ? ', on a session that was rejected' : ''
  return {
    client_id: first.client_id,
    kind: 'unread reaction',
    firstOn: days.length === 0 ? null : days.reduce((a, b) => Math.min(a, b)),
    lastOn: days.length === 0 ? null : days.reduce((a, b) => Math.max(a, b)),
    recent,
    earlier: group.length - recent,
    evidence: `Unread: look at the record. ${first.file}, record ${first.record}${more}: “${first.value}” for the reaction${rejected}.`,
    whoLooks: SAFETY_KINDS['unread reaction'].whoLooks,
    seriesIds: [],
    commonPractice: false,
  }
}

const RANK = Object.keys(SAFETY_KINDS)

const mostUrgentFirst = (a: SafetyEntry, b: SafetyEntry): number =>
  RANK.indexOf(a.kind) - RANK.indexOf(b.kind) ||
  (b.lastOn ?? Infinity) - (a.lastOn ?? Infinity) ||
  compareText(a.client_id ?? '', b.client_id ?? '')

function grouped(findings: readonly Finding[]): Finding[][] {
  const groups = new Map<string, Finding[]>()
  for (const f of findings) {
    const key = `${f.kind}/${f.client_id}`
    const group = groups.get(key)
    if (group) group.push(f)
    else groups.set(key, [f])
  }
  return [...groups.values()]
}

/**
 * Who a person must look at today, from what was recorded, and what is known from before. Clients who were discharged are
 * left out, counted. Each entry names what was recorded and who should look; nothing here starts, stops or changes anything.
 */
export function safetyList(records: Records, options: SafetyOptions): SafetyResult {
  const { asOf } = options
  const since = options.since ?? asOf - SAME_DAY_LIST_DAYS
  const statuses = options.statuses ?? seriesStatuses(records, options)
  const clients = clientsById(records)
  const gone = new Set(records.clients.filter((c) => isDischarged(c, asOf)).map((c) => c.client_id))
  const here = (id: string): Client | null => (gone.has(id) ? null : (clients.get(id) ?? null))
  const findings = [
    ...reactionFindings(reactionEvents(records.sessions, options).events, here),
    ...returnedFindings(statuses, here),
    ...extensorPlantarFindings(statuses, here),
    ...electricalFindings(records, here, options),
    ...vibrationFindings(records, here, options),
  ]
  const entries = grouped(findings).map((group) => ({
    entry: entryOf(group, since),
    today: group.some((f) => f.to >= since && !f.known),
  }))
  const unread = unreadEntries(records, gone, since)
  const left = new ExclusionTally()
  left.add('discharged', gone.size)
  return {
    ...measureResult({
      measure: 'Who a person must look at today',
      asOf,
      unit: 'client',
      enrolled: records.clients.length,
      n: records.clients.length - gone.size,
      exclusions: left.list(),
      method: 'fixed rules on what was recorded',
      convention: `Events from ${formatDay(since)} on are listed for today, older ones as known. Left and right rows equal in all else are one reaction.`,
      assumptions: [
        'A blank is never “none”: where cautions or the birth date are not recorded and electrical stimulation is, the client is listed.',
      ],
      reading: 'description',
      readingNote:
        'The list names what was recorded and who should look. A licensed clinician judges; local rules and device instructions come first.',
    }),
    since,
    today: [
      ...entries.filter((e) => e.today).map((e) => e.entry),
      ...unread.filter((e) => e.recent > 0),
    ].sort(mostUrgentFirst),
    known: [
      ...entries.filter((e) => !e.today).map((e) => e.entry),
      ...unread.filter((e) => e.recent === 0),
    ].sort(mostUrgentFirst),
  }
}
