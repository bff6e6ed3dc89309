export { z } from 'zod'
export {
  type ArqueroTable,
  type Block,
  type CellValue,
  choice,
  type Entry,
  entries,
  type Figure,
  figure,
  figures,
  folded,
  grid,
  markdown,
  notice,
  type Showable,
  type TableColumn,
  type TableOptions,
  type Tone,
  table,
} from './blocks.ts'
export type { InputFile } from './collector.ts'
export { parameters } from './parameters.ts'
export { recordInput, show } from './show.ts'
