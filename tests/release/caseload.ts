import type { Client, Day, Records } from '../../src/records/index.ts'
import type { Release } from '../../src/release/index.ts'
import { seededStream } from '../../src/statistics/index.ts'
import { NO_EFFECT_MODEL, simulateCaseload } from '../measures/simulate.ts'

const SEXES = ['female', 'male', 'other', null] as const

/** An invented caseload in which all that can be missing is missing somewhere, and a third keeps out of research. */
export function caseload(clients: number, seed: number): { records: Records; asOf: Day } {
  const { records, asOf } = simulateCaseload(seed, { ...NO_EFFECT_MODEL, clients })
  const r = seededStream(seed, ['caseload of a release'])
  const one = <T>(values: readonly T[]): T => values[r.below(values.length)]!
  const without = new Set<string>()
  const unplanned = new Set<string>()
  const changed = records.clients.map((c): Client => {
    if (r.below(20) === 0) without.add(c.client_id)
    if (r.below(20) === 0) unplanned.add(c.client_id)
    return {
      ...c,
      birth_date: r.below(25) === 0 ? null : c.birth_date,
      sex: r.below(12) === 0 ? one(SEXES) : one(['female', 'male'] as const),
      site: one(['Heron', 'Curlew', 'Plover', 'Heron', null]),
      group: one(['=early', 'school', 'school']),
      research_consent: r.below(3) === 0 ? one(['no', 'unknown', null] as const) : 'yes',
    }
  })
  return {
    asOf,
    records: {
      ...records,
      clients: changed,
      assessments: records.assessments.filter((a) => !without.has(a.client_id)),
      programmes: records.programmes.filter((p) => !unplanned.has(p.client_id)),
    },
  }
}

/** Text of one file of a release. */
export const textOf = (r: Release, name: string): string =>
  String(r.files.find((f) => f.name === name)!.content)

/** Rows of a CSV of a release without its headings. Cells without commas or quotes, which these caseloads have none of. */
export const rowsOf = (r: Release, name: string): string[][] =>
  textOf(r, name)
    .trimEnd()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','))

/** A person's day 0, worked out anew: the first programme start, else the first score. */
export function startOf({ programmes, assessments }: Records, id: string, asOf: Day): Day | null {
  const planned = programmes.filter((p) => p.client_id === id && p.starts_on <= asOf).map((p) => p.starts_on)
  const scored = assessments
    .filter((a) => a.client_id === id && a.assessed_on <= asOf)
    .map((a) => a.assessed_on)
  const days = planned.length > 0 ? planned : scored
  return days.length > 0 ? Math.min(...days) : null
}
