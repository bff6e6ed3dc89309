import type { ProgrammeLine, Records, Target } from '../records/index.ts'
import { type AsOf, clientsById, isDischarged } from './as-of.ts'
import { ExclusionTally, type MeasureResult, measureResult } from './result.ts'

/**
 * What is common in the trade. None of it is evidence and none of it is a rule: lines that differ are counted and
 * marked "common practice", for a clinician to know, never to mend.
 */
export const COMMON_PRACTICE = {
  /** Sessions a day, at least. */
  sessionsPerDay: 3,
  /** Repetitions a session on the side to be emphasised, and on the other. */
  repsEmphasised: 20,
  repsOther: 10,
  /** A set lasts about a minute: two sets on the emphasised side to one on the other. */
  secondsPerSet: 60,
  setsEmphasised: 2,
  setsOther: 1,
  /** "About" is within a quarter, either way. */
  tolerance: 0.25,
} as const

/** How one client's lines for one target compare. Marked: this is custom, not evidence. */
export interface PracticeNote {
  readonly client_id: string
  readonly target: Target
  readonly basis: 'common practice'
  readonly differs: readonly string[]
}

export interface CommonPracticeResult extends MeasureResult {
  readonly notes: readonly PracticeNote[]
  /** Client and target pairs that are as commonly done. */
  readonly asCommon: number
}

/** Whether a figure is within a quarter of another, either way: no more than 1.25 times it, and no less than it divided by 1.25. */
export const isAbout = (x: number, figure: number, tolerance: number = COMMON_PRACTICE.tolerance): boolean =>
  Math.abs(Math.log(x / figure)) <= Math.log(1 + tolerance) + 1e-12

type Figure = 'reps_per_session' | 'seconds_per_session'
const SIZES: Record<Figure, { readonly emphasised: number; readonly other: number; readonly unit: string }> =
  {
    reps_per_session: {
      emphasised: COMMON_PRACTICE.repsEmphasised,
      other: COMMON_PRACTICE.repsOther,
      unit: 'repetitions',
    },
    seconds_per_session: {
      emphasised: COMMON_PRACTICE.setsEmphasised * COMMON_PRACTICE.secondsPerSet,
      other: COMMON_PRACTICE.setsOther * COMMON_PRACTICE.secondsPerSet,
      unit: 'seconds',
    },
  }

function sizeDiffers(left: ProgrammeLine, right: ProgrammeLine, figure: Figure): string[] {
  const a = left[figure]
  const b = right[figure]
  if (a === null || b === null || a === 0 || b === 0) return []
  const { emphasised, other, unit } = SIZES[figure]
  const more = Math.max(a, b)
  const less = Math.min(a, b)
  return [
    isAbout(more, emphasised) && isAbout(less, other)
      ? ''
      : `${more} and ${less} ${unit}; common are about ${emphasised} and ${other}`,
    isAbout(more / less, emphasised / other) ? '' : `${more} : ${less} ${unit}; common is about 2 : 1`,
  ].filter(Boolean)
}

function noteOf(lines: readonly ProgrammeLine[]): string[] {
  const few = lines
    .filter((l) => l.sessions_per_day < COMMON_PRACTICE.sessionsPerDay)
    .map(
      (l) =>
        `${l.sessions_per_day} sessions a day on the ${l.side}; common are at least ${COMMON_PRACTICE.sessionsPerDay}`,
    )
  const left = lines.find((l) => l.side === 'left')
  const right = lines.find((l) => l.side === 'right')
  if (left === undefined || right === undefined) return few
  return [
    ...few,
    ...sizeDiffers(left, right, 'reps_per_session'),
    ...sizeDiffers(left, right, 'seconds_per_session'),
  ]
}

/** Lines that run on the as-of day beside what is common practice, by client and target. Never a judgement. */
export function commonPractice(records: Records, { asOf }: AsOf): CommonPracticeResult {
  const clients = clientsById(records)
  const left = new ExclusionTally()
  const pairs = new Map<string, ProgrammeLine[]>()
  const idle = new Set<string>()
  for (const line of records.programmes) {
    const client = clients.get(line.client_id)
    const key = `${line.target}/${line.client_id}`
    const runs = line.starts_on <= asOf && (line.ends_on === null || line.ends_on >= asOf)
    if (!runs || (client !== undefined && isDischarged(client, asOf))) idle.add(key)
    else pairs.set(key, [...(pairs.get(key) ?? []), line])
  }
  left.add('no line runs on the as-of day', [...idle].filter((key) => !pairs.has(key)).length)
  const notes = [...pairs.values()].flatMap((lines): PracticeNote[] => {
    const differs = noteOf(lines)
    const { client_id, target } = lines[0]!
    return differs.length === 0 ? [] : [{ client_id, target, basis: 'common practice', differs }]
  })
  return {
    ...measureResult({
      measure: 'Programmes beside common practice',
      asOf,
      unit: 'client and target',
      enrolled: new Set([...idle, ...pairs.keys()]).size,
      n: pairs.size,
      exclusions: left.list(),
      method: 'comparison with customary figures',
      convention:
        'Common practice: at least 3 sessions a day; about 20 repetitions on the emphasised side to 10 on the other; about a minute a set, two sets to one. “About” is within 25 %.',
      assumptions: ['Common practice is custom, not evidence; a line that differs may be right.'],
      reading: 'description',
    }),
    notes,
    asCommon: pairs.size - notes.length,
  }
}
