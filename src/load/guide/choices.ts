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
  cautions: [...CAUTIONS, 'none'],
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
