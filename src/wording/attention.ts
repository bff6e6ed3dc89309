import type { AttentionKind, AttentionReason, AttentionResult, SafetyResult } from '../measures/index.ts'
import { seriesAnchor } from './headline.ts'
import type { CaseloadFilters, RowFacets } from './parts.ts'

/** A line of a list of people: structurally what a page's `entries` take. */
export interface PersonEntry {
  readonly title: string
  readonly under: string
  readonly flag: string
  readonly lead: string
  readonly lines: readonly string[]
  readonly tone: 'urgent' | 'caution' | 'plain'
  readonly id: string
  /** Where the client's series stand. */
  readonly href: string
  readonly facets: RowFacets
}

/** What each kind of reason is called on a page, and in one sentence who is meant. */
export const ATTENTION_WORDS: Readonly<
  Record<AttentionKind, { readonly name: string; readonly who: string }>
> = {
  'look today': {
    name: 'To be looked at today',
    who: 'something is on record that a licensed clinician should look at today',
  },
  returned: { name: 'Returned', who: 'a reflex that had integrated is there again' },
  rising: { name: 'Rising', who: 'a score rose by more than measuring error' },
  'not started': { name: 'Not started', who: 'a programme line has no session 7 days after its start' },
  'low adherence': { name: 'Little done', who: 'under half the last 28 line-days were touched' },
  'no diary': { name: 'No diary', who: 'no record of a session for 14 days' },
  stuck: { name: 'Stuck', who: 'no reliable change 12 weeks after the start' },
  overdue: { name: 'Not seen', who: 'no assessment for longer than is usual here' },
  integrated: { name: 'Integrated', who: 'a reflex is confirmed absent: for information' },
}

const TONES: Partial<Record<AttentionKind, PersonEntry['tone']>> = {
  'look today': 'urgent',
  returned: 'caution',
  rising: 'caution',
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** ISO dates within a sentence as people write them, the parts kept together on one line. */
export const readableDates = (text: string): string =>
  text.replace(
    /\b(\d{4})-(\d{2})-(\d{2})\b/g,
    (_, year: string, month: string, date: string) =>
      `${Number(date)}\u00a0${MONTHS[Number(month) - 1]}\u00a0${year}`,
  )

/** Anchor of a client's line on the page. */
export const clientAnchor = (clientId: string): string => `client-${clientId}`

/** Kinds of which several are told as one line with a count. */
const GATHERED: readonly AttentionKind[] = ['stuck', 'not started', 'integrated']

/** What follows the first reason: kinds that come in numbers are told together, each with its series. */
function furtherLines(reasons: readonly AttentionReason[]): string[] {
  const lines: string[] = []
  const told = new Set<AttentionKind>()
  for (const r of reasons) {
    const same = reasons.filter((o) => o.kind === r.kind)
    if (!GATHERED.includes(r.kind) || same.length === 1)
      lines.push(`${ATTENTION_WORDS[r.kind].name}: ${r.evidence}`)
    else if (!told.has(r.kind)) {
      told.add(r.kind)
      const series = same.map((o) => o.evidence.split(':')[0])
      lines.push(`${ATTENTION_WORDS[r.kind].name}: ${same.length} series (${series.join('; ')})`)
    }
  }
  return lines
}

/** Headings over the attention list and how many stand open under each: structurally a page's groups of entries. */
export const ATTENTION_GROUPS = (Object.keys(ATTENTION_WORDS) as AttentionKind[])
  .filter((kind) => kind !== 'integrated')
  .map((kind) => ({
    flag: ATTENTION_WORDS[kind].name,
    // The page's first notice has said it already.
    note: kind === 'look today' ? '' : ATTENTION_WORDS[kind].who,
    shown: kind === 'look today' ? 8 : 3,
  }))

/** The attention list as lines of a page, in its order. Information alone brings nobody onto the list. */
export function attentionEntries(
  { entries }: AttentionResult,
  { ofClient }: Pick<CaseloadFilters, 'ofClient'>,
): PersonEntry[] {
  return entries
    .filter((e) => e.kind !== 'integrated')
    .map((e) => ({
      title: e.client_id,
      under: [e.clinician, e.site].filter((word) => word !== null).join(', '),
      flag: ATTENTION_WORDS[e.kind].name,
      lead: readableDates(e.reasons[0]!.evidence),
      lines: furtherLines(e.reasons.slice(1)).map(readableDates),
      tone: TONES[e.kind] ?? 'plain',
      id: clientAnchor(e.client_id),
      href: `#${seriesAnchor(e.client_id)}`,
      facets: ofClient(e.client_id),
    }))
}

/** How many clients have each reason, in order of urgency; kinds that nobody has are left out. */
export const attentionCounts = ({
  counts,
}: AttentionResult): { readonly label: string; readonly value: string; readonly note: string }[] =>
  (Object.entries(counts) as [AttentionKind, number][])
    .filter(([, n]) => n > 0)
    .map(([kind, n]) => ({
      label: ATTENTION_WORDS[kind].name,
      value: String(n),
      note: ATTENTION_WORDS[kind].who,
    }))

/** The first thing on the page: whether somebody has to be looked at today. Structurally a page's notice. */
export function todayNotice({ entries }: AttentionResult) {
  const today = entries.filter((e) => e.kind === 'look today').length
  return {
    kind: 'notice' as const,
    tone: today > 0 ? ('urgent' as const) : ('plain' as const),
    title:
      today > 0
        ? `${today} ${today === 1 ? 'client has' : 'clients have'} something on record that a licensed clinician should look at today`
        : 'Nothing on record that has to be looked at today',
    text: 'What was recorded, most urgent first.',
  }
}

/** Older events of clients in care, as lines of a page. */
export const knownEntries = ({ known }: SafetyResult, { ofClient }: Pick<CaseloadFilters, 'ofClient'>) =>
  known.map((e) => ({
    title: e.client_id ?? 'a record nobody could read',
    lead: readableDates(e.evidence),
    facets: ofClient(e.client_id),
  }))
