import { REACTIONS, REFLEXES, SEXES, SIDES, STIMULI } from '../records/index.ts'
import { NOT_KNOWN, WITHHELD } from './hierarchy.ts'
import { PERSON_PATTERN, RATER_PATTERN } from './pseudonyms.ts'
import type { Columns, Row } from './rows.ts'

/** What one column of a released table holds. Codebook, data package and files are all made from this. */
export interface Field {
  readonly name: string
  /** Table Schema field type. */
  readonly type: 'string' | 'integer' | 'number'
  readonly description: string
  readonly required?: boolean
  /** The only values that the column may hold; Table Schema's `enum`. */
  readonly oneOf?: readonly string[]
  /** What a value must look like as a whole; Table Schema's `pattern`. */
  readonly pattern?: string
}

/** A text column with neither holds the clinic's own words, so the leak scan reads it word by word. */
export const holdsOwnWords = (f: Field): boolean => f.type === 'string' && !f.oneOf && f.pattern === undefined

export interface TableDefinition {
  readonly name: string
  readonly title: string
  readonly description: string
  readonly fields: readonly Field[]
  readonly primaryKey?: readonly string[]
  /** Column of this table that names a row of `people`. */
  readonly person?: 'person'
}

const person: Field = {
  name: 'person',
  type: 'string',
  description: 'Pseudonym of the person: the same in all tables of this release.',
  pattern: PERSON_PATTERN,
  required: true,
}

const reflex: Field = {
  name: 'reflex',
  type: 'string',
  description: 'Reflex code.',
  required: true,
  oneOf: REFLEXES,
}

/** Every age that a release can tell, whatever the bands. */
const AGE_PATTERN =
  '\\*|not known|\\d{1,2} (months|years|years and over)|\\d{1,2} to \\d{1,2} years|under \\d{1,2} years|90 and over'

/** The five tables of a release, in the order in which they are written. `unit` is the unit of time that leaves. */
export const releaseTables = (unit: string): readonly TableDefinition[] => [
  {
    name: 'people',
    title: 'One row a person',
    description:
      'Who is in the release, told only as finely as leaves every person among at least k others alike.',
    primaryKey: ['person'],
    fields: [
      person,
      {
        name: 'age_band',
        type: 'string',
        description: 'Age band at the start of the programme.',
        pattern: AGE_PATTERN,
      },
      {
        name: 'sex',
        type: 'string',
        description: 'Sex as recorded, or * where withheld.',
        oneOf: [...SEXES, NOT_KNOWN, WITHHELD],
      },
      {
        name: 'group',
        type: 'string',
        description: "The clinic's own group, merged or withheld where needed.",
      },
      { name: 'site_group', type: 'string', description: 'Site or group of sites.' },
      {
        name: 'months_followed',
        type: 'integer',
        description:
          'Whole months from the first to the last record, rounded down to the unit of time that leaves; empty where that says nothing, or where the scores are withheld.',
      },
    ],
  },
  {
    name: 'scores',
    title: 'One row a score',
    description: 'One score of one reflex on one side by one rater.',
    person: 'person',
    fields: [
      person,
      reflex,
      { name: 'side', type: 'string', description: 'left, right or midline.', required: true, oneOf: SIDES },
      {
        name: 'time_from_start',
        type: 'integer',
        description: `Whole units of time (${unit}) from the start of the person's programme; negative before it.`,
      },
      { name: 'score', type: 'number', description: '0 is absent, scale_max the strongest response.' },
      { name: 'scale_max', type: 'number', description: 'Top of the scale that was used.' },
      {
        name: 'rater',
        type: 'string',
        description: 'Pseudonym of the rater; empty where not known.',
        pattern: RATER_PATTERN,
      },
    ],
  },
  {
    name: 'adherence',
    title: 'One row a person and unit of time',
    description:
      'How much of the prescribed programme was logged as done. A day without a diary counts as not done.',
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
        description: 'Days on which a prescribed line ran, summed over lines.',
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
  },
  {
    name: 'reactions',
    title: 'One row a stimulus and reaction',
    description:
      'Sessions at which a reaction was asked for, and what was noted. Counts from 1 to 4 are withheld, and with them the next smallest, so that the total does not give them back. Stimuli asked fewer than 5 times have no row.',
    fields: [
      {
        name: 'stimulus',
        type: 'string',
        description: 'Stimulus, or "not recorded".',
        required: true,
        oneOf: [...STIMULI, 'not recorded'],
      },
      {
        name: 'reaction',
        type: 'string',
        description: 'Reaction code.',
        required: true,
        oneOf: REACTIONS,
      },
      {
        name: 'sessions_asked',
        type: 'integer',
        description: 'Sessions with this stimulus at which it was asked.',
      },
      { name: 'count', type: 'integer', description: 'Sessions with this reaction; empty where withheld.' },
    ],
  },
  {
    name: 'outcomes',
    title: 'One row a reflex',
    description:
      'Before and after, client as the unit, for the people of this release. Rows of fewer than 5 people are withheld. An uncontrolled comparison: it does not show that a programme caused a change.',
    fields: [
      reflex,
      {
        name: 'people',
        type: 'integer',
        description: 'People with a baseline and a follow-up; empty where withheld.',
      },
      {
        name: 'mean_baseline',
        type: 'number',
        description: 'Mean severity (score ÷ scale_max) at baseline.',
      },
      { name: 'mean_follow_up', type: 'number', description: 'Mean severity at follow-up.' },
      { name: 'mean_change', type: 'number', description: 'Follow-up less baseline; negative is fading.' },
      {
        name: 'hedges_g',
        type: 'number',
        description: 'Change ÷ its standard deviation, small-sample corrected.',
      },
      { name: 'hedges_g_lower', type: 'number', description: 'Lower 95 % limit.' },
      { name: 'hedges_g_upper', type: 'number', description: 'Upper 95 % limit.' },
    ],
  },
]

/** A released table with its definition. Rows are in the order in which they are written. */
export interface ReleasedTable {
  readonly definition: TableDefinition
  readonly columns: Columns
  /** The same cells by row, made anew at each call for it. */
  readonly rows: readonly Row[]
}

export const releasedTable = (definition: TableDefinition, columns: Columns): ReleasedTable => ({
  definition,
  columns,
  get rows() {
    return columns.rows()
  },
})
