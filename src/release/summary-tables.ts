import { REACTIONS, STIMULI } from '../records/index.ts'
import type { TableDefinition } from './fields.ts'
import { reflexField } from './person-tables.ts'
import { SMALL_CELL } from './small-cells.ts'

/** The tables in which a row is many people's: reactions and outcomes. */

export const reactionsTable: TableDefinition = {
  name: 'reactions',
  title: 'One row a stimulus and reaction',
  description: `Sessions at which a reaction was asked for, and what was noted, over everybody in people. Counts from 1 to ${SMALL_CELL - 1} are withheld, and with them the next smallest, so that the total does not give them back. Stimuli asked fewer than ${SMALL_CELL} times have no row, nor those of which every withheld count could only be 1.`,
  fields: [
    {
      name: 'stimulus',
      type: 'string',
      description: 'Stimulus, or "not recorded".',
      required: true,
      oneOf: [...STIMULI, 'not recorded'],
    },
    { name: 'reaction', type: 'string', description: 'Reaction code.', required: true, oneOf: REACTIONS },
    {
      name: 'sessions_asked',
      type: 'integer',
      description: 'Sessions with this stimulus at which it was asked; left and right are two.',
    },
    {
      name: 'count',
      type: 'integer',
      description:
        'How often this reaction was noted, the same on left and right counted once; of none what is left of sessions_asked; empty where withheld.',
    },
  ],
}

export const outcomesTable: TableDefinition = {
  name: 'outcomes',
  title: 'One row a reflex',
  description: `Before and after 12 weeks, client as the unit, of the people whose scores leave and nobody else: so these figures give away nothing of those whose scores are withheld. Figures of fewer than ${SMALL_CELL} people are left out for whoever is given this table alone; whoever also holds scores can come near to working them out. An uncontrolled comparison: it does not show that a programme caused a change.`,
  fields: [
    reflexField,
    {
      name: 'people',
      type: 'integer',
      description: 'People with a baseline and a follow-up; empty where withheld.',
    },
    {
      name: 'mean_baseline',
      type: 'number',
      description: 'Mean score at baseline, in points of a 0 to 4 scale whatever the scale used.',
    },
    {
      name: 'mean_follow_up',
      type: 'number',
      description: 'Mean score at follow-up, in the same points.',
    },
    {
      name: 'mean_change',
      type: 'number',
      description: 'Follow-up less baseline, in the same points; negative is fading.',
    },
    {
      name: 'hedges_g',
      type: 'number',
      description:
        "Hedges' g: mean change ÷ standard deviation of the changes, corrected for small samples; empty where it cannot be computed.",
    },
    { name: 'hedges_g_lower', type: 'number', description: 'Lower limit of its 95 % interval.' },
    { name: 'hedges_g_upper', type: 'number', description: 'Upper limit of its 95 % interval.' },
  ],
}
