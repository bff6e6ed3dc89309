import type { Assessment, Day, ProgrammeLine, Records, Reflex, Side, Target } from '../records/index.ts'
import type { AsOf } from './as-of.ts'

/** One rater's score of a series. `score` is in points of the series' scale ({@link Series.scaleMax}). */
export interface RaterScore {
  readonly day: Day
  readonly rater: string | null
  readonly score: number
  /** score / scale_max, 0 to 1. */
  readonly severity: number
}

/** A series on one day: the mean over that day's raters. */
export interface Occasion {
  readonly day: Day
  /** Points of the series' scale. */
  readonly score: number
  /** 0 to 1. */
  readonly severity: number
  readonly raters: number
}

/** One client, reflex and side. */
export interface Series {
  /** Stable name, for links: reflex/side/client. Reflex and side hold no slash, so no two series share it. */
  readonly id: string
  readonly client_id: string
  readonly reflex: Reflex
  readonly side: Side
  /** The scale of the last score; scores on another scale are carried over by severity. */
  readonly scaleMax: number
  /** True where the series was scored on more than one scale. */
  readonly mixedScales: boolean
  /** By day, at least one. */
  readonly occasions: readonly Occasion[]
  /** Every rater's score, by day. */
  readonly scores: readonly RaterScore[]
  /** Programme start: earliest starts_on of the client's lines for this target and side; null without one. */
  readonly start: Day | null
  /** Earliest starts_on of any line of the client; null without a line. */
  readonly clientStart: Day | null
}

/** The name of a series: `target/side/client`. */
export const seriesId = (client: string, target: Target, side: Side): string => `${target}/${side}/${client}`

/** Rows grouped by client, target and side, in order of first appearance. */
export function groupByClientTargetSide<Row extends { readonly client_id: string; readonly side: Side }>(
  rows: Iterable<Row>,
  targetOf: (row: Row) => Target,
): Map<string, Row[]> {
  const groups = new Map<string, Row[]>()
  for (const row of rows) {
    const id = seriesId(row.client_id, targetOf(row), row.side)
    const group = groups.get(id)
    if (group) group.push(row)
    else groups.set(id, [row])
  }
  return groups
}

/** Programme starts up to the as-of day: per target and side ({@link seriesId}), and per client. */
export function programmeStarts(
  lines: readonly ProgrammeLine[],
  { asOf }: AsOf,
): { readonly bySeries: ReadonlyMap<string, Day>; readonly byClient: ReadonlyMap<string, Day> } {
  const bySeries = new Map<string, Day>()
  const byClient = new Map<string, Day>()
  const earlier = (map: Map<string, Day>, key: string, day: Day) => {
    const known = map.get(key)
    if (known === undefined || day < known) map.set(key, day)
  }
  for (const line of lines) {
    if (line.starts_on > asOf) continue
    earlier(bySeries, seriesId(line.client_id, line.target, line.side), line.starts_on)
    earlier(byClient, line.client_id, line.starts_on)
  }
  return { bySeries, byClient }
}

function occasionsOf(scores: readonly RaterScore[]): Occasion[] {
  const occasions: Occasion[] = []
  for (let i = 0; i < scores.length; ) {
    const day = scores[i]!.day
    let raters = 0
    let score = 0
    let severity = 0
    for (; i < scores.length && scores[i]!.day === day; i++) {
      raters++
      score += scores[i]!.score
      severity += scores[i]!.severity
    }
    occasions.push({ day, score: score / raters, severity: severity / raters, raters })
  }
  return occasions
}

/** Order by code point, the same on every machine. */
export const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)

function seriesOf(
  id: string,
  rows: readonly Assessment[],
  starts: ReturnType<typeof programmeStarts>,
): Series {
  const ordered = [...rows].sort(
    (a, b) => a.assessed_on - b.assessed_on || compareText(a.rater_id ?? '', b.rater_id ?? ''),
  )
  const last = ordered.at(-1)!
  const scaleMax = last.scale_max
  const scores = ordered.map((a) => ({
    day: a.assessed_on,
    rater: a.rater_id,
    score: a.scale_max === scaleMax ? a.score : (a.score * scaleMax) / a.scale_max,
    severity: a.score / a.scale_max,
  }))
  return {
    id,
    client_id: last.client_id,
    reflex: last.reflex,
    side: last.side,
    scaleMax,
    mixedScales: ordered.some((a) => a.scale_max !== scaleMax),
    occasions: occasionsOf(scores),
    scores,
    start: starts.bySeries.get(id) ?? null,
    clientStart: starts.byClient.get(last.client_id) ?? null,
  }
}

/**
 * Every series with a score up to the as-of day, sorted by client, reflex and side. The score of a day is the mean over
 * that day's raters. Scores and programme lines after the as-of day are left out.
 */
export function allSeries(records: Records, options: AsOf): Series[] {
  const starts = programmeStarts(records.programmes, options)
  const rows = records.assessments.filter((a) => a.assessed_on <= options.asOf)
  const groups = groupByClientTargetSide(rows, (a) => a.reflex)
  return [...groups]
    .map(([id, group]) => seriesOf(id, group, starts))
    .sort(
      (a, b) =>
        compareText(a.client_id, b.client_id) ||
        compareText(a.reflex, b.reflex) ||
        compareText(a.side, b.side),
    )
}
