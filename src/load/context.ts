import type { Source } from './formats/source.ts'
import type { TableRules } from './guide/guide.ts'
import type { RawTable } from './raw.ts'

/** What a format reader is told by the reading guide. */
export interface ReadContext {
  /** The guide's word on one table (`file` or `book.xlsx#Sheet`), top and matching entries joined; `{}` without a guide. */
  rulesFor(table: string): TableRules
  /** True when the guide names exactly this table, without wildcards after `#` (so a hidden sheet is wanted). */
  names(table: string): boolean
}

/**
 * One per format: the tables of a source. Sheets whose rules say `holds: nothing` are not read. Where headings may stand
 * below title rows, `headings/find.ts` says which row they are. A source that cannot be read is a UserError naming
 * the file and what to do.
 */
export type FormatReader = (source: Source, context: ReadContext) => Promise<RawTable[]>
