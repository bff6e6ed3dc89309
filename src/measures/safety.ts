import { type Client, type Day, formatDay, type Records } from '../records/index.ts'
import { type AsOf, clientsById, isDischarged } from './as-of.ts'
import { reactionEvents } from './reaction-events.ts'
import { reactionFindings } from './reaction-findings.ts'
import { extensorPlantarFindings, returnedFindings } from './reflex-findings.ts'
import { ExclusionTally, type MeasureResult, measureResult } from './result.ts'
import { type Finding, SAFETY_KINDS, type SafetyKind } from './safety-kinds.ts'
import { compareText } from './series.ts'
import { type StatusOptions, type StatusResult, seriesStatuses } from './status.ts'
import { electricalFindings, vibrationFindings } from './stimulation-findings.ts'
import { unreadEntries } from './unread-reactions.ts'

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
