import {
  CAUTIONS,
  CONSENTS,
  DISCHARGE_REASONS,
  DONE_BY,
  REACTIONS,
  SEXES,
  SIDES,
  STIMULI,
  TARGETS,
} from '../../records/index.ts'
import type { Field } from './guide.ts'

/** What a guide may say a side is: as in the records, and `both` for one row on each. */
export const GUIDE_SIDES = [...SIDES, 'both'] as const

/** Our own words for the fields that have a closed list; a guide's words lead to one of these. */
export const WORDS_OF_FIELD: Readonly<Partial<Record<Field, readonly string[]>>> = {
  sex: SEXES,
  discharge_reason: DISCHARGE_REASONS,
  cautions: CAUTIONS,
  research_consent: CONSENTS,
  reflex: TARGETS,
  target: TARGETS,
  side: GUIDE_SIDES,
  stimulus: STIMULI,
  done_by: DONE_BY,
  reaction: REACTIONS,
}

export const NUMBER_FIELDS: readonly Field[] = [
  'gestation_weeks',
  'score',
  'scale_max',
  'sessions_per_day',
  'reps_per_session',
  'seconds_per_session',
  'intensity',
  'reps',
  'seconds',
]

/** `Spinal Galant` → `spinal_galant`: how a person may write one of our own words in a guide. */
export const codeForm = (text: string): string =>
  text
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, '_')

/**
 * The choice nearest to what was written, for "did you mean": at most a third of its letters changed, and only where no
 * other choice is as near.
 */
export function nearestChoice(written: string, choices: readonly string[]): string | null {
  const word = codeForm(written)
  const ranked = choices
    .map((choice) => ({ choice, distance: editDistance(word, codeForm(choice)) }))
    .sort((a, b) => a.distance - b.distance)
  const [best, second] = ranked
  if (best === undefined || best.distance > Math.max(1, Math.floor(word.length / 3))) return null
  return second !== undefined && second.distance === best.distance ? null : best.choice
}

/** Levenshtein's distance. */
function editDistance(a: string, b: string): number {
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const change = (previous[j - 1] as number) + (a[i - 1] === b[j - 1] ? 0 : 1)
      row.push(Math.min(change, (previous[j] as number) + 1, (row[j - 1] as number) + 1))
    }
    previous = row
  }
  return previous[b.length] as number
}
