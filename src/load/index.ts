export type { NotRead } from './folder.ts'
export type { ReadingGuide } from './guide/guide.ts'
export type { Example, LedgerEntry, RuleCount } from './ledger.ts'
export { type Loaded, type LoadedSource, type LoadOptions, loadFolder, type Progress } from './loadFolder.ts'
