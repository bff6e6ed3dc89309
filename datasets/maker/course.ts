import {
  type Assessment,
  DAYS_PER_MONTH,
  type Day,
  isMidline,
  type ProgrammeLine,
  type Reflex,
  type Side,
} from '../../src/records/index.ts'
import { AS_OF, CLINICIANS, PARAMETERS, STIMULUS_OF } from './clinic.ts'
import type { Person } from './people.ts'
import type { Random } from './random.ts'

const sidesOf = (reflex: Reflex): readonly Side[] => (isMidline(reflex) ? ['midline'] : ['left', 'right'])

/** The visits of a client before and after the programme's start. */
export interface Visits {
  readonly days: readonly Day[]
  readonly start: Day
}

export function visits(rng: Random, p: Person): Visits {
  const [low, high] = PARAMETERS.visit_gap_days
  const first = p.client.enrolled_on as Day
  const days = [first]
  if (p.waiting) days.push(first + rng.whole(low, high))
  const start = (days.at(-1) as Day) + rng.whole(1, 5)
  const until = Math.min(p.client.discharged_on ?? AS_OF, AS_OF)
  for (let day = start + rng.whole(low, high) - 5; day <= until; day += rng.whole(low, high)) days.push(day)
  return { days: p.story === 'no_assessment' ? [] : days.filter((d) => d <= until), start }
}

/** True severity of a series on a day, in points of the 0 to 4 scale; not bounded. */
const severity = (p: Person, baseline: number, start: Day, day: Day): number => {
  const months = (day - (p.client.enrolled_on as Day)) / DAYS_PER_MONTH
  const treated = p.story === 'no_programme' ? 0 : Math.max(0, day - start) / DAYS_PER_MONTH
  return baseline + p.naturalSlope * months + p.programmeSlope * p.adherence * treated
}

const point = (x: number): number => Math.min(4, Math.max(0, Math.round(x)))

/** The scores that a story needs, in place of the model's, for the client's first series. */
function storyScores(p: Person, count: number): readonly number[] | null {
  const fill = (tail: readonly number[], head: number): number[] =>
    Array.from({ length: count }, (_, i) => tail[i - (count - tail.length)] ?? head)
  switch (p.story) {
    case 'reflex_returned':
      return fill([2, 0, 0, 2], 3)
    case 'reflex_wavering':
      return fill([2, 0, 1], 3)
    case 'rising':
      return fill([4], 1)
    case 'stuck':
      return fill([], 3)
    default:
      return null
  }
}

export function assessments(rng: Random, p: Person, { days, start }: Visits): Assessment[] {
  const out: Assessment[] = []
  const raters = CLINICIANS[p.site]
  const second = days.map(() => rng.chance(PARAMETERS.double_scoring_share))
  let series = 0
  for (const reflex of p.reflexes) {
    for (const side of sidesOf(reflex)) {
      const baseline = 2 + 2 * rng.uniform()
      const told = series++ === 0 ? storyScores(p, days.length) : null
      days.forEach((assessed_on, i) => {
        const truth = severity(p, baseline, start, assessed_on)
        const newSign = reflex === 'extensor_plantar' && p.story === 'extensor_plantar_new_at_four_years'
        const score = newSign
          ? i === days.length - 1
            ? 2
            : 0
          : (told?.[i] ?? point(rng.normal(truth, PARAMETERS.rater_sd)))
        const row = { client_id: p.client.client_id, assessed_on, reflex, side, scale_max: 4 }
        out.push({ ...row, score, rater_id: raters[0] as string })
        if (second[i] && told === null && !newSign)
          out.push({
            ...row,
            score: point(rng.normal(truth, PARAMETERS.rater_sd)),
            rater_id: raters[1] as string,
          })
      })
    }
  }
  return out
}

/** The programme: two or three targets, twice the repetitions on the emphasised side (common practice), changed once. */
export function programme(rng: Random, p: Person, { start }: Visits): ProgrammeLine[] {
  if (p.story === 'no_programme') return []
  const out: ProgrammeLine[] = []
  const end = p.story === null && rng.chance(0.25) ? start + rng.whole(84, 140) : null
  const change = rng.chance(0.35) ? start + rng.whole(40, 70) : null
  for (const target of p.reflexes.filter((r) => r !== 'extensor_plantar').slice(0, 3)) {
    const perDay = rng.pick([2, 3, 3])
    const bySeconds = rng.chance(0.2)
    for (const side of sidesOf(target)) {
      const amount = side === 'midline' ? 15 : side === p.emphasis ? 20 : 10
      const line: ProgrammeLine = {
        client_id: p.client.client_id,
        target,
        side,
        stimulus: STIMULUS_OF[target],
        sessions_per_day: perDay,
        reps_per_session: bySeconds ? null : amount,
        seconds_per_session: bySeconds ? amount * 6 : rng.chance(0.3) ? 60 : null,
        intensity: null,
        starts_on: start,
        ends_on: end,
      }
      if (change !== null && (end === null || change < end)) {
        const more = line.reps_per_session === null ? null : line.reps_per_session + 5
        out.push({ ...line, ends_on: change - 1 }, { ...line, reps_per_session: more, starts_on: change })
      } else out.push(line)
    }
  }
  const electrical = p.story?.startsWith('electrical') || p.story === 'intensity_jump'
  if (electrical || rng.chance(0.15)) {
    const side = p.emphasis
    const stimulus = electrical ? 'electrical' : 'vibration'
    out.push({
      client_id: p.client.client_id,
      target: 'ear_stimulation',
      side,
      stimulus,
      sessions_per_day: 1,
      reps_per_session: null,
      seconds_per_session: 60,
      intensity: 2,
      starts_on: start + 14,
      ends_on: null,
    })
  }
  return out
}
