import {
  type Adherence,
  type BeforeAndAfter,
  type BothReadings,
  type ChangeSummary,
  type Computed,
  differenceInPoints,
  type HorizonChange,
  isComputed,
  type PartAdherence,
  type Reactions,
  type SideRatio,
  type SmallestReliableDifference,
  type StatusResult,
} from '../measures/index.ts'
import { isReflex, type Records, recordsWhere, targetName } from '../records/index.ts'
import { grouped } from './grouped.ts'

/** A figure of the page's first rows: structurally what a page's `figures` take. */
export interface Headline {
  readonly label: string
  readonly value: string
  readonly interval?: string
  readonly note: string
}

const percent = (share: number): string => `${Math.round(100 * share)} %`
const number = (x: number, decimals: number): string => {
  const text = Math.abs(x).toFixed(decimals)
  return x < 0 && Number(text) !== 0 ? `\u2212${text}` : text
}
const NOT_YET = 'not yet'

const improvedLabel = (horizon: string): string => `Reliably improved or integrated, ${horizon}`

function improvedHeadline({ improved }: ChangeSummary, horizon: string): Headline {
  const label = improvedLabel(horizon)
  if (!isComputed(improved)) return { label, value: NOT_YET, note: improved.notComputed }
  return {
    label,
    value: percent(improved.estimate),
    interval: `95 %: ${percent(improved.interval.lower ?? 0)} to ${percent(improved.interval.upper ?? 1)}`,
    note: `${improved.events} of ${improved.n} series that could${improved.assumed ? '; rests on an assumed measuring error' : ''}. Uncontrolled.`,
  }
}

function changeHeadline(change: HorizonChange): Headline {
  const label = `Mean change, ${change.horizon.label}`
  const { mixedModel } = change.overall
  if (!isComputed(mixedModel)) return { label, value: NOT_YET, note: mixedModel.notComputed }
  const { estimate, interval } = mixedModel.change
  return {
    label,
    value: number(estimate, 2),
    interval: `95 %: ${number(interval.lower ?? Number.NaN, 2)} to ${number(interval.upper ?? Number.NaN, 2)}`,
    note: `points of a 0 to 4 scale, ${change.clients.n} ${change.clients.n === 1 ? 'client' : 'clients'}; below 0 is fading. Uncontrolled.`,
  }
}

function doseHeadline({ asLogged, loggedDaysOnly }: BothReadings, clients: number): Headline {
  if (asLogged === null) return { label: 'Dose done', value: NOT_YET, note: 'no programme line has run' }
  return {
    label: 'Dose done',
    value: `${percent(asLogged)} to ${percent(loggedDaysOnly ?? asLogged)}`,
    note: `the lower figure counts days without a diary as not done, the higher leaves them out; ${clients} ${clients === 1 ? 'client' : 'clients'}`,
  }
}

function reactionHeadline({ all }: Reactions): Headline {
  if (all.rate === null) return { label: 'Reactions', value: NOT_YET, note: 'nobody was asked' }
  return {
    label: 'Reactions per 1,000 sessions',
    value: number(all.rate, 1),
    interval: `95 %: ${number(all.lower ?? 0, 1)} to ${number(all.upper ?? 0, 1)}`,
    note: `${grouped(all.reactions)} in ${grouped(all.asked)} sessions where somebody asked; at ${grouped(all.notAsked)} nobody did`,
  }
}

/** Clients of whom both sides can be compared with what is prescribed over the last 28 days, and those beyond 25 % of it. */
export function sidesOff(ratios: readonly SideRatio[]): { readonly compared: number; readonly off: number } {
  const clients = (some: readonly SideRatio[]): number => new Set(some.map((r) => r.client_id)).size
  return {
    compared: clients(ratios.filter((r) => r.recent.logDeviation !== null)),
    off: clients(ratios.filter((r) => r.flagged)),
  }
}

function sidesHeadline(ratios: readonly SideRatio[]): Headline {
  const label = 'Sides not as prescribed'
  const { compared, off } = sidesOff(ratios)
  if (compared === 0)
    return { label, value: NOT_YET, note: 'nobody did and was prescribed an exercise on both sides' }
  return {
    label,
    value: `${off} of ${compared}`,
    note: 'clients with exercises on both sides: left to right beyond 25 % of what is prescribed, last 28 days of the programme',
  }
}

/** The figures at the head of a caseload review. */
export const caseloadHeadlines = (parts: {
  readonly change: BeforeAndAfter
  readonly log: Adherence
  readonly reactions: Reactions
}): Headline[] => {
  const headline = parts.change.horizons[parts.change.headline]
  return [
    improvedHeadline(headline.overall.byClient, headline.horizon.label),
    changeHeadline(headline),
    doseHeadline(parts.log.caseload.doseFraction, parts.log.clients.length),
    sidesHeadline(parts.log.sideRatios),
    reactionHeadline(parts.reactions),
  ]
}

/** The figures at the head of a part of the caseload: a site, a clinician, a reflex, an age. */
export function partHeadlines(
  change: ChangeSummary,
  log: PartAdherence,
  ratios: readonly SideRatio[],
  horizon: string,
): Headline[] {
  const mean = `Mean change, ${horizon}`
  return [
    improvedHeadline(change, horizon),
    change.meanChange === null
      ? { label: mean, value: NOT_YET, note: 'no series has a score before and after' }
      : {
          label: mean,
          value: number(change.meanChange, 2),
          note: `points of a 0 to 4 scale, mean of ${change.clients} ${change.clients === 1 ? 'client' : 'clients'}; below 0 is fading. Uncontrolled.`,
        },
    doseHeadline(log.doseFraction, log.clients),
    sidesHeadline(ratios),
  ]
}

/** What measuring error was taken to be, in a sentence. */
export const differenceSentence = (difference: Computed<SmallestReliableDifference>): string =>
  isComputed(difference)
    ? `Smallest reliable difference: ${number(differenceInPoints(difference, 4), 2)} points of a 0 to 4 scale. ${difference.note}`
    : difference.notComputed

/** Rows of a before-and-after table. */
export const changeRows = (rows: readonly ChangeSummary[]) =>
  rows.map((r) => {
    const effect = isComputed(r.effect) ? r.effect : null
    const improved = isComputed(r.improved) ? r.improved : null
    return {
      what: isReflex(r.label) ? targetName(r.label) : r.label,
      clients: r.clients,
      before: r.baselineMean,
      after: r.followUpMean,
      change: r.meanChange,
      d_z: effect?.dZ ?? null,
      d_av: effect?.dAv ?? null,
      g: effect?.hedgesG ?? null,
      g_95:
        effect?.hedgesG == null
          ? ''
          : `${number(effect.hedgesGInterval.lower ?? Number.NaN, 2)} to ${number(effect.hedgesGInterval.upper ?? Number.NaN, 2)}`,
      p_holm: r.pHolm === null ? '' : r.pHolm < 0.001 ? '< 0.001' : r.pHolm.toFixed(3),
      improved: improved ? `${improved.events} of ${improved.n}` : '',
    }
  })

/** The further tables of a before and after, with their titles. */
export const furtherChanges = (change: HorizonChange) =>
  [
    ['By site', change.bySite],
    ['By age at the start', change.byAgeGroup],
    ['By side', change.bySide],
    ['Age-appropriate at baseline: due to go anyhow', change.ageAppropriate],
  ] as const

export const CHANGE_COLUMNS = [
  { field: 'what', label: 'Reflex or group' },
  { field: 'clients', label: 'Clients', decimals: 0 },
  { field: 'before', label: 'Before', decimals: 2 },
  { field: 'after', label: 'After', decimals: 2 },
  { field: 'change', label: 'Change', decimals: 2 },
  { field: 'd_z', label: 'd_z', decimals: 2 },
  { field: 'd_av', label: 'd_av', decimals: 2 },
  { field: 'g', label: "Hedges' g", decimals: 2 },
  { field: 'g_95', label: '95 %' },
  { field: 'p_holm', label: 'p (Holm)' },
  { field: 'improved', label: 'Reliably improved or integrated' },
] as const

/** Exclusions as rows: nobody disappears. */
export const exclusionRows = (result: {
  readonly enrolled: number
  readonly n: number
  readonly exclusions: readonly { readonly reason: string; readonly count: number }[]
}) => [
  { what: 'could have entered', count: result.enrolled },
  ...result.exclusions.map((e) => ({ what: `left out: ${e.reason}`, count: e.count })),
  { what: 'analysed', count: result.n },
]

/** How far the sides are from what is prescribed, whichever way. */
const farness = ({ recent }: SideRatio): number => Math.abs(recent.logDeviation ?? 0)

/** Side ratios that are beyond 25 % of what is prescribed over the last 28 days, the furthest first. */
export const flaggedRatios = (log: Adherence) =>
  log.sideRatios
    .filter((r) => r.flagged)
    .sort((a, b) => farness(b) - farness(a))
    .map((r) => ({
      client: { text: r.client_id, href: `#${seriesAnchor(r.client_id)}` },
      target: targetName(r.target),
      left: r.recent.leftDelivered,
      right: r.recent.rightDelivered,
      counted: UNIT_WORDS[r.unit],
      done: ratioText(r.recent.ratio),
      prescribed: ratioText(r.recent.prescribedRatio),
    }))

const UNIT_WORDS: Readonly<Record<SideRatio['unit'], string>> = {
  reps: 'repetitions',
  seconds: 'seconds',
  sessions: 'sessions',
}

export const RATIO_COLUMNS = [
  { field: 'client', label: 'Client' },
  { field: 'target', label: 'Exercise' },
  { field: 'left', label: 'Left', decimals: 0 },
  { field: 'right', label: 'Right', decimals: 0 },
  { field: 'counted', label: 'counted in' },
  { field: 'done', label: 'Left : right, done' },
  { field: 'prescribed', label: 'Left : right, prescribed' },
] as const

const ratioText = (ratio: number | null): string =>
  ratio === null
    ? 'neither side'
    : !Number.isFinite(ratio)
      ? 'left only'
      : ratio === 0
        ? 'right only'
        : `${ratio.toFixed(2)} : 1`

/** Anchor of a client's first series on the page. */
export const seriesAnchor = (clientId: string): string => `series-of-${clientId}`

/** Where every series stands, for a table that can be searched. Series come client by client. */
export const statusRows = ({ series }: StatusResult) =>
  series.map((s, i) => ({
    id:
      series[i - 1]?.series.client_id === s.series.client_id ? s.series.id : seriesAnchor(s.series.client_id),
    client: s.series.client_id,
    reflex: targetName(s.series.reflex),
    side: s.series.side,
    status: s.status,
    first: s.first.score,
    latest: s.last.score,
    occasions: s.series.occasions.length,
    age: s.ageAtLast.standing,
    note: s.note,
  }))

/** The whole caseload, then each site's part of it, in alphabetical order. A caseload of one site is one part. */
export function siteParts(records: Records): [string, Records][] {
  const sites = [...new Set(records.clients.map((c) => c.site).filter((s) => s !== null))].sort()
  const parts = sites.length > 1 ? sites : []
  return [
    ['All sites', records],
    ...parts.map((site): [string, Records] => [site, recordsWhere(records, (c) => c.site === site)]),
  ]
}
