import {
  ageGroup,
  type ClientCase,
  differenceInPoints,
  isComputed,
  type SingleCase,
} from '../measures/index.ts'
import { type Day, formatDay, type Records, type Side, type Target, targetName } from '../records/index.ts'
import { readableDates } from './attention.ts'

/** How one client is told of: by code and calendar, or masked, by a label and days from the start. */
export interface Telling {
  readonly label: string
  /** Day 0 where no date may be shown; null tells by the calendar. */
  readonly from: Day | null
}

const earliest = (days: readonly Day[]): Day | null => (days.length > 0 ? Math.min(...days) : null)

/** Masked: a label, and days from the client's first programme day, else first score, else enrolment, else whatever day is on record. */
export function tellingOf(one: ClientCase, masked: boolean, label: string): Telling {
  const { client, timeline } = one
  if (!masked) return { label: client.client_id, from: null }
  const dated = [...timeline.reactions, ...timeline.intensities].map((event) => event.day)
  return {
    label,
    // Days from 1970 would be a date: whatever is told of has to count from the client's own.
    from:
      earliest(timeline.lines.map((l) => l.from)) ??
      earliest(timeline.scores.map((s) => s.day)) ??
      client.enrolled_on ??
      earliest(dated) ??
      client.discharged_on ??
      0,
  }
}

const MS_PER_DAY = 86_400_000
const ISO = /\b(\d{4})-(\d{2})-(\d{2})\b/g

/** A sentence with its dates as people write them, or as days from the start. */
export const told = (text: string, { from }: Telling): string =>
  from === null
    ? readableDates(text)
    : text.replace(ISO, (iso) => `day ${Date.parse(`${iso}T00:00:00Z`) / MS_PER_DAY - from}`)

const dayTold = (day: Day | null, telling: Telling): string =>
  day === null ? 'not known' : told(new Date(day * MS_PER_DAY).toISOString().slice(0, 10), telling)

const years = (months: number): string =>
  months < 36 ? `${Math.floor(months)} months` : `${Math.floor(months / 12)} years`

/** Who the client is, as rows. Masked: an age band, no group, no place. */
export function patientRows(one: ClientCase, telling: Telling) {
  const { client } = one
  const masked = telling.from !== null
  const age = one.chronologicalAgeMonths
  return [
    { what: 'Case', is: telling.label },
    { what: 'Age', is: masked ? ageGroup(age) : age === null ? 'not known' : years(age) },
    { what: 'Sex', is: client.sex ?? 'not recorded' },
    {
      what: 'Born at',
      is: masked
        ? 'withheld'
        : client.gestation_weeks === null
          ? 'not recorded'
          : `${client.gestation_weeks} weeks`,
    },
    {
      what: 'Cautions on record',
      is: client.cautions.length
        ? client.cautions.map((c) => c.replaceAll('_', ' ')).join(', ')
        : 'none recorded, which is not "none"',
    },
    ...(masked
      ? []
      : [
          {
            what: 'Site, clinician',
            is: [client.site, client.clinician].filter(Boolean).join(', ') || 'not recorded',
          },
          { what: 'Enrolled', is: dayTold(client.enrolled_on, telling) },
        ]),
    {
      what: 'Discharged',
      is:
        client.discharged_on === null
          ? 'no'
          : `${dayTold(client.discharged_on, telling)}${client.discharge_reason ? `, ${client.discharge_reason}` : ''}`,
    },
    { what: 'Research consent on record', is: client.research_consent ?? 'not recorded' },
  ]
}

const named = (what: { readonly target: Target; readonly side: Side }): string =>
  `${targetName(what.target)}, ${what.side}`

const pointsOf = (score: number): string => String(Math.round(score * 100) / 100)

/** Every series: status, first and last score, whether the change exceeds measuring error. */
export const findingRows = (one: ClientCase, telling: Telling) =>
  one.changes.map(({ status, sentence, exceeds }) => ({
    series: named({ target: status.series.reflex, side: status.series.side }),
    status: status.status,
    first: `${pointsOf(status.first.score)}, ${dayTold(status.first.day, telling)}`,
    latest: `${pointsOf(status.last.score)}, ${dayTold(status.last.day, telling)}`,
    age: status.ageAtLast.standing,
    change:
      exceeds === null
        ? told(sentence, telling)
        : `${exceeds ? 'more than' : 'no more than'} measuring error`,
  }))

/** The programme as prescribed, a row a line. */
export const prescribedRows = (one: ClientCase, telling: Telling) =>
  one.timeline.lines.map((l) => ({
    line: named(l),
    prescribed: l.dose,
    from: dayTold(l.from, telling),
    to: dayTold(l.to, telling),
  }))

const percent = (share: number | null): string =>
  share === null ? 'not known' : `${Math.round(100 * share)} %`

/** The programme as done, a row a line. */
export const doneRows = (one: ClientCase) =>
  one.lines.map((l) => ({
    line: named(l),
    line_days: l.lineDays,
    dose_as_logged: percent(l.doseFraction.asLogged),
    dose_on_logged_days: percent(l.doseFraction.loggedDaysOnly),
    days_in_full: percent(l.daysInFull.asLogged),
    days_touched: percent(l.daysTouched.asLogged),
    longest_gap: l.longestGap,
  }))

const nap = (s: SingleCase): string => {
  if (!isComputed(s.nonOverlap)) return 'not computed'
  const { nap: share, interval } = s.nonOverlap
  const within =
    interval.lower === null ? '' : ` (${interval.lower.toFixed(2)} to ${interval.upper?.toFixed(2)})`
  return `${share.toFixed(2)}${within}`
}

/**
 * Before and after the start of each series that has a programme: the share of pairs in which the later score is lower. The test of
 * a start drawn at random has a column only where some record says that it was drawn.
 */
export const casePhaseRows = (one: ClientCase) => {
  const withProgramme = one.cases.filter((s) => s.before.length + s.after.length > 0)
  const drawn = withProgramme.some((s) => isComputed(s.randomisationTest))
  return withProgramme.map((s) => {
    const [reflex = '', side = ''] = s.seriesId.split('/')
    const test = s.randomisationTest
    return {
      series: named({ target: reflex as Target, side: side as Side }),
      scores_before: s.before.length,
      scores_after: s.after.length,
      later_is_lower: nap(s),
      ...(drawn
        ? { start_drawn_at_random: isComputed(test) ? `p ${test.p.toFixed(3)}` : 'not computed' }
        : {}),
    }
  })
}

/** Why figures of {@link casePhaseRows} were not computed, each reason once, and how many series have no programme. */
export const casePhaseReasons = (one: ClientCase): string => {
  const withProgramme = one.cases.filter((s) => s.before.length + s.after.length > 0)
  const without = one.cases.length - withProgramme.length
  const none = without === 1 ? '1 series has' : `${without} series have`
  return [
    ...(without > 0 ? [`${none} no programme, so no before and after.`] : []),
    ...new Set(
      withProgramme.flatMap(({ nonOverlap, randomisationTest }) => [
        ...(isComputed(nonOverlap) ? [] : [nonOverlap.notComputed]),
        ...(isComputed(randomisationTest) ? [] : [randomisationTest.notComputed]),
      ]),
    ),
  ].join(' ')
}

/** What is on the same-day list and what is known, as lines of a page. */
export const caseSafety = (one: ClientCase, telling: Telling) => [
  ...one.safetyToday.map((e) => ({
    title: 'Today',
    flag: 'To be looked at today',
    tone: 'urgent' as const,
    lead: told(`${e.evidence} ${e.whoLooks}`, telling),
  })),
  ...one.safetyKnown.map((e) => ({ title: 'Known', lead: told(e.evidence, telling) })),
]

/** The measuring error behind the judgements, in a sentence. */
export const caseDifference = ({ difference }: ClientCase): string =>
  isComputed(difference)
    ? `Measuring error: changes of up to ${differenceInPoints(difference, 4).toFixed(2)} points of a 0 to 4 scale may be rating alone (${difference.from}). Whether growing up or the programme did it cannot be told from one client.`
    : difference.notComputed

/** Figures at the head of the outcomes: how many series changed beyond measuring error, the dose, reactions noted. */
export function caseFigures(one: ClientCase) {
  const judged = one.changes.filter((c) => c.exceeds !== null)
  const lower = judged.filter((c) => c.exceeds && (c.status.change ?? 0) < 0).length
  const higher = judged.filter((c) => c.exceeds && (c.status.change ?? 0) > 0).length
  const dose = one.adherence?.doseFraction
  return [
    {
      label: 'Lower by more than measuring error',
      value: `${lower} of ${judged.length}`,
      note: `reflexes and sides that can be judged; ${higher} higher by more, ${one.changes.length - judged.length} cannot be judged. It may be growing up all the same.`,
    },
    {
      label: 'Dose done',
      value:
        dose?.asLogged == null ? 'not known' : `${percent(dose.asLogged)} to ${percent(dose.loggedDaysOnly)}`,
      note: 'the lower figure counts days without a diary as not done, the higher leaves them out',
    },
    {
      label: 'Reactions noted',
      value: String(one.timeline.reactions.length),
      note: 'a blank in the diary is "not asked", which is not "none"',
    },
  ]
}

/** What a masked page must not say: codes, names, places and dates of the client. */
export function identifyingTexts(records: Records, one: ClientCase): string[] {
  const { client } = one
  const days = [
    client.birth_date,
    client.enrolled_on,
    client.discharged_on,
    ...one.timeline.scores.map((s) => s.day),
    ...one.timeline.lines.flatMap((l) => [l.from, l.to]),
    ...one.timeline.reactions.map((r) => r.day),
    ...one.timeline.intensities.map((i) => i.day),
  ]
  const spelt = days
    .filter((d) => d !== null)
    .flatMap((d) => [
      formatDay(d),
      readableDates(formatDay(d)),
      readableDates(formatDay(d)).replaceAll('\u00a0', ' '),
    ])
  return [
    ...records.clients.map((c) => c.client_id),
    ...[client.site, client.clinician, client.group].filter((x) => x !== null),
    ...new Set(spelt),
  ]
}
