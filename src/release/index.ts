export type { Field, ReleasedTable, TableDefinition } from './fields.ts'
export type { ReleaseFile } from './files.ts'
export { type Generalisation, generalise } from './generalise.ts'
export { parseHierarchies, unusedWords } from './hierarchies-file.ts'
export { AGE_BAND_LEVELS, type Hierarchy, type HierarchySettings, hierarchies } from './hierarchy.ts'
export {
  type IntersectionRisk,
  intersectionRisk,
  type ReleasedPerson,
  releasedPeople,
} from './intersection.ts'
export type { Subject } from './lattice.ts'
export { type Coarsening, coarsen, type SequenceRisk } from './longitudinal.ts'
export type { GeneraliseOptions, Unreachable } from './nearest.ts'
export { newSecret, pseudonym } from './pseudonyms.ts'
export { makeRelease, type Release, type ReleaseOptions } from './release.ts'
export { type RiskReport, STATEMENT } from './risk-report.ts'
export { riskMarkdown } from './risk-words.ts'
export type { Cell, Columns, Row } from './rows.ts'
export { TIME_UNITS, type TimeUnit } from './time-units.ts'
