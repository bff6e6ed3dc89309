import {
  type Assessment,
  type Client,
  DAYS_PER_MONTH,
  type Day,
  isMidline,
  type ProgrammeLine,
  REFLEXES,
  type Records,
  type Reflex,
  type Session,
  type Side,
  sessionTable,
} from '../../src/records/index.ts'
import { type RandomStream, seededStream } from '../../src/statistics/index.ts'

/**
 * The model behind an invented caseload. Latent score of a series, m months after its programme's start:
 *
 *   level + client and series intercepts + growth(age) + m (growthPerMonth + client and series slopes)
 *         + max(m, 0) · effectPerMonth · (adherence of the client ÷ mean adherence) + error
 *
 * What is written is the latent score as it stands (`exact`), or rounded to whole points and cut to 0 to 4 (`graded`).
 */
export interface CaseloadModel {
  readonly clients: number
  readonly reflexesPerClient: number
  readonly level: number
  readonly growthPerMonth: number
  /** Points that the latent score has on top at an age in years: a curve of growth; 0 throughout is straight growth. */
  readonly growthCurve: (ageYears: number) => number
  readonly effectPerMonth: number
  readonly clientInterceptSd: number
  readonly clientSlopeSd: number
  readonly seriesInterceptSd: number
  readonly seriesSlopeSd: number
  readonly errorSd: number
  readonly written: 'exact' | 'graded'
  /** Occasions before the start: from, to (the last one is the baseline, 1 to 14 days before the start). */
  readonly before: readonly [number, number]
  readonly after: readonly [number, number]
  readonly visitEveryDays: number
  readonly visitJitterDays: number
  /** A series is taken on only where its written score at these occasions reaches `takenOnFrom`. */
  readonly takenOnBy: 'nobody asks' | 'baseline' | 'first and baseline'
  readonly takenOnFrom: number
  readonly ageYears: readonly [number, number]
  readonly doubleScoring: number
  /** Daily logs are large: only where a test needs the dose. */
  readonly withSessions: boolean
}

const PLAIN_MODEL: CaseloadModel = {
  clients: 200,
  reflexesPerClient: 2,
  level: 2.6,
  growthPerMonth: -0.03,
  growthCurve: () => 0,
  effectPerMonth: -0.12,
  clientInterceptSd: 0.4,
  clientSlopeSd: 0.04,
  seriesInterceptSd: 0.3,
  seriesSlopeSd: 0.03,
  errorSd: 0.3,
  written: 'exact',
  before: [2, 4],
  after: [3, 5],
  visitEveryDays: 45,
  visitJitterDays: 8,
  takenOnBy: 'nobody asks',
  takenOnFrom: 0,
  ageYears: [3, 12],
  doubleScoring: 0,
  withSessions: false,
}

/** A clinic whose programme does nothing: children grow, scores have a floor, and high scores are what brings a family in. */
export const NO_EFFECT_MODEL: CaseloadModel = {
  ...PLAIN_MODEL,
  clients: 60,
  effectPerMonth: 0,
  level: 2.2,
  growthPerMonth: -0.04,
  // Fast at three years, nearly over at ten.
  growthCurve: (age) => 1.2 * Math.exp(-(age - 3) / 2.5),
  written: 'graded',
  takenOnBy: 'first and baseline',
  takenOnFrom: 2,
}

export interface SimulatedCaseload {
  readonly records: Records
  readonly asOf: Day
  /** Adherence of each client, 0 to 1: the share of prescribed sessions that the family does. */
  readonly adherence: ReadonlyMap<string, number>
  /** True slope after the start of each series ({@link seriesKeyOf}), points a month. */
  readonly trueSlopes: ReadonlyMap<string, number>
}

const FIRST_START: Day = 20089 // 2025-01-01
const MEAN_ADHERENCE = 0.65
export const seriesKeyOf = (client: string, reflex: string, side: string): string =>
  `${client}/${reflex}/${side}`

const between = (r: RandomStream, [low, high]: readonly [number, number]): number =>
  low + (high - low) * r.uniform()
const whole = (r: RandomStream, [low, high]: readonly [number, number]): number =>
  low + r.below(high - low + 1)

/** Draws client k alone: the same client whatever the size of the caseload. */
function drawClient(model: CaseloadModel, seed: number, k: number, into: Drawn): void {
  const r = seededStream(seed, ['simulated client', k])
  const id = `c${String(k).padStart(5, '0')}`
  const start = FIRST_START + r.below(120)
  const ageAtStart = between(r, model.ageYears)
  const adherence = 0.3 + 0.7 * r.uniform()
  const intercept = model.clientInterceptSd * r.normal()
  const slope = model.clientSlopeSd * r.normal()
  const gap = () => Math.max(14, Math.round(model.visitEveryDays + model.visitJitterDays * r.normal()))
  const baseline = start - 1 - r.below(14)
  const days = [baseline]
  for (let i = whole(r, model.before); i > 1; i--) days.unshift(days[0]! - gap())
  let day = baseline
  for (let i = whole(r, model.after); i > 0; i--) {
    day += Math.max(gap(), start + 28 - baseline)
    days.push(day)
  }
  const birth = Math.round(start - ageAtStart * 365.25)
  const kept: { reflex: Reflex; side: Side; rows: Assessment[]; slope: number }[] = []
  const pool = r.shuffle([...REFLEXES]).slice(0, model.reflexesPerClient)
  for (const reflex of pool)
    for (const side of isMidline(reflex) ? (['midline'] as const) : (['left', 'right'] as const)) {
      const level = model.level + intercept + model.seriesInterceptSd * r.normal()
      const effect = (model.effectPerMonth * adherence) / MEAN_ADHERENCE
      const own = model.growthPerMonth + slope + model.seriesSlopeSd * r.normal()
      const rows: Assessment[] = []
      for (const on of days) {
        const m = (on - start) / DAYS_PER_MONTH
        const latent = level + own * m + model.growthCurve(ageAtStart + m / 12) + Math.max(m, 0) * effect
        const raters = r.uniform() < model.doubleScoring ? ['r1', 'r2'] : ['r1']
        for (const rater_id of raters) {
          const exact = latent + model.errorSd * r.normal()
          const score = model.written === 'exact' ? exact : Math.min(4, Math.max(0, Math.round(exact))) + 0
          rows.push({ client_id: id, assessed_on: on, reflex, side, score, scale_max: 4, rater_id })
        }
      }
      const asked = (on: Day) => rows.find((row) => row.assessed_on === on)!.score >= model.takenOnFrom
      if (model.takenOnBy !== 'nobody asks' && !asked(baseline)) continue
      if (model.takenOnBy === 'first and baseline' && !asked(days[0]!)) continue
      kept.push({ reflex, side, rows, slope: own + effect })
    }
  if (kept.length === 0) return
  into.clients.push(clientRow(id, birth, days[0]!))
  into.adherence.set(id, adherence)
  for (const { reflex, side, rows, slope: after } of kept) {
    into.assessments.push(...rows)
    into.slopes.set(seriesKeyOf(id, reflex, side), after)
    into.programmes.push(lineRow(id, reflex, side, start))
    if (model.withSessions)
      logSessions(r, into.sessions, { id, reflex, side, start, end: days.at(-1)!, adherence })
  }
}

interface Drawn {
  readonly clients: Client[]
  readonly assessments: Assessment[]
  readonly programmes: ProgrammeLine[]
  readonly sessions: Session[]
  readonly adherence: Map<string, number>
  readonly slopes: Map<string, number>
}

export const clientRow = (client_id: string, birth_date: Day | null, enrolled_on: Day | null): Client => ({
  client_id,
  birth_date,
  gestation_weeks: null,
  sex: null,
  site: 'Heron',
  clinician: null,
  group: null,
  enrolled_on,
  discharged_on: null,
  discharge_reason: null,
  cautions: [],
  research_consent: null,
})

export const lineRow = (client_id: string, reflex: Reflex, side: Side, starts_on: Day): ProgrammeLine => ({
  client_id,
  target: reflex,
  side,
  stimulus: 'brush',
  sessions_per_day: 1,
  reps_per_session: 10,
  seconds_per_session: null,
  intensity: null,
  starts_on,
  ends_on: null,
})

function logSessions(
  r: RandomStream,
  into: Session[],
  line: { id: string; reflex: Reflex; side: Side; start: Day; end: Day; adherence: number },
): void {
  for (let day = line.start; day <= line.end; day++) {
    if (r.uniform() >= line.adherence) continue
    into.push({
      client_id: line.id,
      done_on: day,
      done_at: null,
      target: line.reflex,
      side: line.side,
      stimulus: 'brush',
      reps: 10,
      seconds: null,
      intensity: null,
      done_by: 'family',
      reaction: null,
      note: null,
    })
  }
}

/** An invented caseload from a known model; the same seed and model give the same caseload. */
export function simulateCaseload(seed: number, changes: Partial<CaseloadModel> = {}): SimulatedCaseload {
  const model = { ...PLAIN_MODEL, ...changes }
  const drawn: Drawn = {
    clients: [],
    assessments: [],
    programmes: [],
    sessions: [],
    adherence: new Map(),
    slopes: new Map(),
  }
  for (let k = 1; k <= model.clients; k++) drawClient(model, seed, k, drawn)
  const asOf = drawn.assessments.reduce((last, a) => Math.max(last, a.assessed_on), FIRST_START)
  return {
    records: {
      clients: drawn.clients,
      assessments: drawn.assessments,
      programmes: drawn.programmes,
      sessions: sessionTable(drawn.sessions),
      problems: [],
    },
    asOf,
    adherence: drawn.adherence,
    trueSlopes: drawn.slopes,
  }
}
