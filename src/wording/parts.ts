import {
  type Adherence,
  AGE_GROUP_ORDER,
  adherenceOfPart,
  ageGroup,
  type BeforeAndAfter,
  changeOfPart,
  type SeriesStatus,
  type StatusResult,
  type WeekAdherence,
} from '../measures/index.ts'
import {
  ageMonths,
  type Client,
  type Day,
  isReflex,
  REFLEXES,
  type Records,
  type Reflex,
  targetName,
} from '../records/index.ts'
import { type Headline, partHeadlines } from './headline.ts'

/** The filters of a caseload review, by their names on the page. */
export const FILTER_NAMES = {
  site: 'Site',
  clinician: 'Clinician',
  reflex: 'Reflex',
  age: 'Age today',
} as const

const NOT_RECORDED = 'not recorded'

/** What a row is about: structurally a page's facets. */
export type RowFacets = Readonly<Record<string, string | readonly string[]>>

export interface CaseloadFilters {
  /** Name and values of each filter: structurally what a page's `filters` take. */
  readonly dimensions: readonly { readonly name: string; readonly values: readonly string[] }[]
  /** What a client's line is about: site, clinician, age today and the reflexes that were scored; nothing for an unknown one. */
  readonly ofClient: (client_id: string | null) => RowFacets
  /** The same of one series or programme line. */
  readonly ofSeries: (client_id: string, reflex: string) => RowFacets
}

const valuesOf = (found: Iterable<string>, order?: readonly string[]): string[] => {
  const all = [...new Set(found)]
  const place = (v: string): number => (order ? order.indexOf(v) : v === NOT_RECORDED ? 1 : 0)
  return all.sort((a, b) => place(a) - place(b) || (a < b ? -1 : 1))
}

/** The filters of a caseload: site, clinician, reflex, and age on the as-of day. */
export function caseloadFilters(
  records: Records,
  { asOf, statuses }: { readonly asOf: Day; readonly statuses: StatusResult },
): CaseloadFilters {
  const reflexes = new Map<string, Set<string>>()
  for (const { series } of statuses.series) {
    const own = reflexes.get(series.client_id) ?? new Set()
    reflexes.set(series.client_id, own.add(targetName(series.reflex)))
  }
  const facets = new Map<string, Readonly<Record<string, string>>>(
    records.clients.map((c: Client) => [
      c.client_id,
      {
        [FILTER_NAMES.site]: c.site ?? NOT_RECORDED,
        [FILTER_NAMES.clinician]: c.clinician ?? NOT_RECORDED,
        [FILTER_NAMES.age]: ageGroup(ageMonths(c, asOf)),
      },
    ]),
  )
  const found = (name: string): string[] => [...facets.values()].map((f) => f[name]!)
  const scored = statuses.series.map((s) => targetName(s.series.reflex))
  return {
    dimensions: [
      { name: FILTER_NAMES.site, values: valuesOf(found(FILTER_NAMES.site)) },
      { name: FILTER_NAMES.clinician, values: valuesOf(found(FILTER_NAMES.clinician)) },
      { name: FILTER_NAMES.reflex, values: valuesOf(scored, REFLEXES.map(targetName)) },
      { name: FILTER_NAMES.age, values: valuesOf(found(FILTER_NAMES.age), AGE_GROUP_ORDER) },
    ],
    ofClient: (id) => {
      const own = id === null ? undefined : facets.get(id)
      return own ? { ...own, [FILTER_NAMES.reflex]: [...(reflexes.get(id!) ?? [])] } : {}
    },
    ofSeries: (id, reflex) => ({ ...facets.get(id), [FILTER_NAMES.reflex]: reflex }),
  }
}

/** A part of a caseload, worked out. */
export interface CaseloadPart {
  readonly part: { readonly name: string; readonly value: string }
  readonly headlines: readonly Headline[]
  readonly series: readonly SeriesStatus[]
  readonly weeks: readonly WeekAdherence[]
}

/**
 * Every part that a single filter can choose, worked out from what the whole caseload's measures hold. The smallest
 * reliable difference is the whole caseload's throughout, so that a series has the same status in every part.
 */
export function caseloadParts(
  { dimensions, ofClient }: CaseloadFilters,
  measures: { readonly statuses: StatusResult; readonly log: Adherence; readonly change: BeforeAndAfter },
): CaseloadPart[] {
  const { statuses, log, change } = measures
  const horizon = change.horizons[change.headline]
  return dimensions.flatMap(({ name, values }) =>
    values.map((value): CaseloadPart => {
      const mine = new Map<string, boolean>()
      const client = (id: string): boolean => {
        const known = mine.get(id) ?? ofClient(id)[name] === value
        mine.set(id, known)
        return known
      }
      const holds = (id: string, target: Reflex | string): boolean =>
        name === FILTER_NAMES.reflex ? isReflex(target) && targetName(target) === value : client(id)
      const adherence = adherenceOfPart(log, (l) => holds(l.client_id, l.target))
      const summary = changeOfPart(change, horizon, value, (p) => holds(p.client.client_id, p.reflex))
      return {
        part: { name, value },
        headlines: partHeadlines(
          summary,
          adherence,
          log.sideRatios.filter((r) => holds(r.client_id, r.target)),
          horizon.horizon.label,
        ),
        series: statuses.series.filter((s) => holds(s.series.client_id, s.series.reflex)),
        weeks: adherence.calendarWeeks,
      }
    }),
  )
}
