import type { ClientCase, SeriesStatus } from '../measures/index.ts'
import type { Day, Target } from '../records/index.ts'
import { adherenceCalendarChart } from './adherence-calendar.ts'
import type { Chart } from './chart.ts'
import { clientTimelineChart } from './client-timeline.ts'
import { courseChart } from './course.ts'
import { type DeliveredRow, deliveredAgainstPrescribedChart } from './delivered-against-prescribed.ts'
import { leftAgainstRightChart } from './left-against-right.ts'
import { BY_CALENDAR, type Clock, daysFrom } from './words.ts'

/** Time by the calendar, or in days from a start where no date may be shown. */
const clockFrom = (from: Day | null): Clock => (from === null ? BY_CALENDAR : daysFrom(from))

/**
 * Everything about one client on one axis of time.
 * @param from the day from which days are counted, where no date may be shown; dates by default
 */
export const timelineOf = ({ timeline }: ClientCase, from: Day | null = null): Chart =>
  clientTimelineChart(
    {
      lines: timeline.lines,
      intensities: timeline.intensities,
      scores: timeline.scores,
      reactions: timeline.reactions.map(({ day, reaction }) => ({ day, reaction })),
    },
    clockFrom(from),
  )

/**
 * Each day of one client's programme, with its dose.
 * @param from the day from which days are counted, where no date may be shown; dates by default
 */
export const calendarOf = ({ timeline }: ClientCase, from: Day | null = null): Chart =>
  adherenceCalendarChart(timeline.days, { from })

/**
 * Both sides of one client's reflexes over time, in severity; days on which neither was scored are left out.
 * @param from the day from which days are counted, where no date may be shown; dates by default
 */
export const sidesOf = ({ asymmetries }: ClientCase, from: Day | null = null): Chart =>
  leftAgainstRightChart(
    asymmetries.flatMap((a) => a.occasions.filter((o) => o.left !== null || o.right !== null)),
    clockFrom(from),
  )

/**
 * What was prescribed and what was logged for one client, by target and side, in repetitions or seconds. Lines that say
 * neither, or change their unit on the way, are left out.
 */
export function deliveredOfClient({ lines }: ClientCase): Chart {
  const rows = new Map<string, DeliveredRow>()
  for (const { target, side, unit, amountPrescribed, amountDelivered } of lines) {
    if (unit === 'sessions' || amountPrescribed === null || amountDelivered === null) continue
    const key = JSON.stringify([target, side, unit])
    const row = rows.get(key)
    rows.set(key, {
      target: target as Target,
      side,
      unit: unit === 'reps' ? 'repetitions' : 'seconds',
      prescribed: (row?.prescribed ?? 0) + amountPrescribed,
      delivered: (row?.delivered ?? 0) + amountDelivered,
    })
  }
  return deliveredAgainstPrescribedChart([...rows.values()])
}

/**
 * The course of one series in points of its own scale, with the start of its programme and where it stands.
 * @param from the day from which days are counted, where no date may be shown; dates by default
 */
export const seriesCourseOf = ({ series, status }: SeriesStatus, from: Day | null = null): Chart =>
  courseChart(
    {
      reflex: series.reflex,
      side: series.side,
      scaleMax: series.scaleMax,
      occasions: series.occasions,
      programmeStart: series.start,
      status,
    },
    clockFrom(from),
  )
