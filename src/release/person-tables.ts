import { REFLEXES, SEXES, SIDES } from '../records/index.ts'
import type { Field, TableDefinition } from './fields.ts'
import { NOT_KNOWN, WITHHELD } from './hierarchy.ts'
import { PERSON_PATTERN, RATER_PATTERN } from './pseudonyms.ts'

/** The tables in which a row is somebody's: people, scores and adherence. */

const person: Field = {
  name: 'person',
  type: 'string',
  description: 'Pseudonym of the person: the same in all tables of this release.',
  pattern: PERSON_PATTERN,
  required: true,
}

export const reflexField: Field = {
  name: 'reflex',
  type: 'string',
  description: 'Reflex code.',
  required: true,
  oneOf: REFLEXES,
}

/** Every age that a release can tell, whatever the bands. */
const AGE_PATTERN =
  '\\*|not known|\\d{1,2} (months|years|years and over)|\\d{1,2} to \\d{1,2} years|under \\d{1,2} years|90 and over'

export const peopleTable = (k: number): TableDefinition => ({
  name: 'people',
  title: 'One row a person',
  description: `Who is in the release. Age band, sex, group and site are told only as finely as leaves every person in a group of ${k} or more who are alike in these four columns.`,
  primaryKey: ['person'],
  fields: [
    person,
    {
      name: 'age_band',
      type: 'string',
      description:
        "Age band at the person's start: the first programme, else the first score, else enrolment; * where withheld.",
      pattern: AGE_PATTERN,
    },
    {
      name: 'sex',
      type: 'string',
      description: 'Sex as recorded; * where withheld.',
      oneOf: [...SEXES, NOT_KNOWN, WITHHELD],
    },
    {
      name: 'group',
      type: 'string',
      description: "The clinic's own group, merged with others where needed; * where withheld.",
    },
    { name: 'site_group', type: 'string', description: 'Site or group of sites; * where withheld.' },
    {
      name: 'months_followed',
      type: 'integer',
      description:
        'Whole months from the start or the first score, whichever is earlier, to the last score or session, rounded down to the unit of time that leaves; empty where that says nothing, or where the scores are withheld.',
    },
  ],
})

export const scoresTable = (unit: string): TableDefinition => ({
  name: 'scores',
  title: 'One row a score',
  description:
    'One score of one reflex on one side by one rater. Of people whose visits would single out too many no score leaves; they have their row in people.',
  person: 'person',
  fields: [
    person,
    reflexField,
    { name: 'side', type: 'string', description: 'left, right or midline.', required: true, oneOf: SIDES },
    {
      name: 'time_from_start',
      type: 'integer',
      description: `Whole units of time (${unit}) from the person's start: 0 is the first unit from that day on, -1 the last before it.`,
    },
    { name: 'score', type: 'number', description: '0 is absent, scale_max the strongest response.' },
    { name: 'scale_max', type: 'number', description: 'Top of the scale that was used.' },
    {
      name: 'rater',
      type: 'string',
      description:
        'Pseudonym of the rater, the same with everybody whom they scored; empty where not known or left out.',
      pattern: RATER_PATTERN,
    },
  ],
})

export const adherenceTable = (unit: string): TableDefinition => ({
  name: 'adherence',
  title: 'One row a person and unit of time',
  description:
    'How much of the prescribed programme was logged as done. A day without a diary counts as not done. Where no score of a person leaves, no week does.',
  person: 'person',
  fields: [
    person,
    {
      name: 'time_from_start',
      type: 'integer',
      description: `Whole units of time (${unit}) from the start of the person's programme.`,
    },
    {
      name: 'line_days',
      type: 'integer',
      description:
        'Days on which a prescribed line ran, summed over lines. Whole weeks are gathered: a week belongs to the unit in which it begins.',
    },
    {
      name: 'dose_fraction',
      type: 'number',
      description: 'Mean over line-days of min(1, delivered ÷ prescribed).',
    },
    {
      name: 'days_in_full',
      type: 'number',
      description: 'Share of line-days with all prescribed sessions done.',
    },
    {
      name: 'side_ratio',
      type: 'number',
      description: 'Repetitions delivered left ÷ right; empty where one side has none.',
    },
  ],
})
