import type { Day, Records } from '../records/index.ts'
import type { SafetyEntry } from './safety.ts'
import { SAFETY_KINDS } from './safety-kinds.ts'

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
export function unreadEntries(records: Records, gone: ReadonlySet<string>, since: Day): SafetyEntry[] {
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
