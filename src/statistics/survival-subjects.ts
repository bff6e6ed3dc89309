import { CannotEstimate, isKnown, type Maybe } from './shared.ts'

/** Subjects with both values known, by time, events before censorings at equal times. */
export function survivalSubjects(
  statistic: string,
  time: ArrayLike<Maybe>,
  event: ArrayLike<Maybe | boolean>,
): {
  readonly subjects: { readonly time: number; readonly event: boolean; readonly row: number }[]
  readonly dropped: number
} {
  if (time.length !== event.length)
    throw new CannotEstimate(statistic, 'as many events as times', `${event.length} and ${time.length}`)
  const subjects: { time: number; event: boolean; row: number }[] = []
  for (let row = 0; row < time.length; row++) {
    const t = time[row]
    const e = event[row]
    const occurred = typeof e === 'boolean' ? Number(e) : e
    if (!isKnown(t) || !isKnown(occurred)) continue
    if (!(t >= 0 && Number.isFinite(t)))
      throw new CannotEstimate(statistic, 'finite times of 0 or more', String(t))
    if (occurred !== 0 && occurred !== 1)
      throw new CannotEstimate(statistic, 'events of 0 or 1', String(occurred))
    subjects.push({ time: t, event: occurred === 1, row })
  }
  subjects.sort((a, b) => a.time - b.time || Number(b.event) - Number(a.event))
  return { subjects, dropped: time.length - subjects.length }
}
