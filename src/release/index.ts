export type { Cell, Field, ReleasedTable, TableDefinition } from './fields.ts'
export type { ReleaseFile } from './files.ts'
export {
  type Generalisation,
  type GeneraliseOptions,
  generalise,
  type Subject,
  type Unreachable,
} from './generalise.ts'
export { AGE_BAND_LEVELS, type Hierarchy, type HierarchySettings, hierarchies } from './hierarchy.ts'
export { type IntersectionRisk, intersectionRisk, type ReleasedPerson } from './intersection.ts'
export { type Coarsening, coarsen, type SequenceRisk, TIME_UNITS, type TimeUnit } from './longitudinal.ts'
export { newSecret, pseudonym } from './pseudonyms.ts'
export {
  makeRelease,
  type Release,
  type ReleaseOptions,
  type RiskReport,
  releasedPeople,
  STATEMENT,
} from './release.ts'
export { riskMarkdown } from './risk-words.ts'
