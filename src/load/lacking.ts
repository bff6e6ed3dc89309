import type { Field, Kind } from './guide/guide.ts'
import type { PlannedColumn, PlannedGroup } from './plan.ts'

/** Fields without which no record of a kind can stand. */
const MUST: Readonly<Record<Kind, readonly Field[]>> = {
  clients: ['client_id'],
  assessments: ['client_id', 'reflex', 'assessed_on', 'score'],
  programmes: ['client_id', 'target', 'starts_on', 'sessions_per_day'],
  sessions: ['client_id', 'target', 'done_on'],
}

/** Fields that every record must have and nothing in the table tells. */
export function lackingFields(
  kind: Kind,
  columns: ReadonlyMap<Field, readonly PlannedColumn[]>,
  groups: readonly PlannedGroup[],
  constants: ReadonlyMap<Field, string>,
): Field[] {
  const told = (field: Field): boolean =>
    (columns.get(field)?.length ?? 0) > 0 ||
    constants.has(field) ||
    groups.some((g) => g.columns.some((c) => c.field === field)) ||
    ((field === 'target' || field === 'reflex') &&
      groups.length > 0 &&
      groups.every((g) => g.target !== null))
  return MUST[kind].filter((field) => !told(field))
}
