export { z } from 'zod'
export {
  type ArqueroTable,
  type Block,
  type CellValue,
  choice,
  type Entry,
  type EntryGroup,
  entries,
  type Facets,
  type Figure,
  figure,
  figures,
  filters,
  folded,
  grid,
  markdown,
  notice,
  type Part,
  type Showable,
  type TableColumn,
  type TableOptions,
  type Tone,
  table,
  variants,
} from './blocks.ts'
export type { InputFile } from './collector.ts'
export { asArquero, asCsv, asDanfo, asObjects, type Rows } from './frames.ts'
export { type KeptCall, keepable } from './kept.ts'
export { parameters } from './parameters.ts'
export { recordInput, show, withhold } from './show.ts'
