import type { TableDefinition } from './fields.ts'
import { adherenceTable, peopleTable, scoresTable } from './person-tables.ts'
import { outcomesTable, reactionsTable } from './summary-tables.ts'

/** The five tables of a release, in the order in which they are written: `unit` of time that leaves, smallest group `k`. */
export const releaseTables = (unit: string, k: number): readonly TableDefinition[] => [
  peopleTable(k),
  scoresTable(unit),
  adherenceTable(unit),
  reactionsTable,
  outcomesTable,
]
