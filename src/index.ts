/** Everything a notebook or a script may use. */
export * from './charts/index.ts'
export * from './errors.ts'
export type { LedgerEntry, Loaded, LoadOptions, ReadingGuide } from './load/index.ts'
export * from './measures/index.ts'
export * from './notebook/index.ts'
export * from './reading.ts'
export * from './records/index.ts'
export {
  makeRelease,
  newSecret,
  type Release,
  type ReleaseOptions,
  type RiskReport,
  riskMarkdown,
  STATEMENT as RELEASE_STATEMENT,
} from './release/index.ts'
/** Methods by name, numbers in and numbers out: `statistics.pairedTTest(before, after)`. */
export * as statistics from './statistics/index.ts'
export { VERSION } from './version.ts'
export * from './wording/index.ts'
