import { chronologicalAgeMonths, formatDay, targetName } from '../records/index.ts'
import { INFANT_MONTHS } from './reaction-events.ts'
import type { Finding, Here } from './safety-kinds.ts'
import type { StatusResult } from './status.ts'

/** Reflexes that were gone by a confirmed run of zeros and are positive again; the event is the day they were back. */
export function returnedFindings(statuses: StatusResult, here: Here): Finding[] {
  return statuses.series.flatMap((s): Finding[] => {
    if (s.status !== 'returned' || here(s.series.client_id) === null) return []
    const { client_id, reflex, side, id, scaleMax } = s.series
    return [
      {
        client_id,
        kind: 'returned reflex',
        from: s.backOn!,
        to: s.backOn!,
        what: `${targetName(reflex)}, ${side}: absent from ${formatDay(s.integratedOn!)}, positive again on ${formatDay(s.backOn!)}; ${Number(s.last.score.toFixed(2))} of ${scaleMax} on ${formatDay(s.last.day)}.`,
        seriesIds: [id],
      },
    ]
  })
}

/**
 * Extensor plantar positive at the last assessment past 24 months (chronological). New where it was not so at the
 * assessment before (or there is none); otherwise, and where the age is not recorded, it is known.
 */
export function extensorPlantarFindings(statuses: StatusResult, here: Here): Finding[] {
  return statuses.series.flatMap(({ series }): Finding[] => {
    const client = here(series.client_id)
    const last = series.occasions.at(-1)!
    if (series.reflex !== 'extensor_plantar' || client === null || last.severity === 0) return []
    const age = chronologicalAgeMonths(client, last.day)
    if (age !== null && age < INFANT_MONTHS) return []
    const before = series.occasions.at(-2)
    const beforeAge = before === undefined ? null : chronologicalAgeMonths(client, before.day)
    const sameBefore =
      before !== undefined && before.severity > 0 && beforeAge !== null && beforeAge >= INFANT_MONTHS
    return [
      {
        client_id: series.client_id,
        kind: 'extensor plantar past 24 months',
        from: last.day,
        to: last.day,
        what: `Extensor plantar, ${series.side}: ${Number(last.score.toFixed(2))} of ${series.scaleMax} on ${formatDay(last.day)} at ${
          age === null ? 'an age that is not recorded' : `${Math.floor(age)} months`
        }${before === undefined ? ', the first score' : sameBefore ? ', as at the assessment before' : ', not so at the assessment before'}.`,
        seriesIds: [series.id],
        known: sameBefore || age === null,
      },
    ]
  })
}
