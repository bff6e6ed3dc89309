import type { Columns, Row } from './rows.ts'

/** What one column of a released table holds. Codebook, data package and files are all made from this. */
export interface Field {
  readonly name: string
  /** Table Schema field type. */
  readonly type: 'string' | 'integer' | 'number'
  readonly description: string
  readonly required?: boolean
  /** The only values that the column may hold; Table Schema's `enum`. */
  readonly oneOf?: readonly string[]
  /** What a value must look like as a whole; Table Schema's `pattern`. */
  readonly pattern?: string
}

/** A text column with neither holds the clinic's own words, so the leak scan reads it word by word. */
export const holdsOwnWords = (f: Field): boolean => f.type === 'string' && !f.oneOf && f.pattern === undefined

export interface TableDefinition {
  readonly name: string
  readonly title: string
  readonly description: string
  readonly fields: readonly Field[]
  readonly primaryKey?: readonly string[]
  /** Column of this table that names a row of `people`. */
  readonly person?: 'person'
}

/** A released table with its definition. Rows are in the order in which they are written. */
export interface ReleasedTable {
  readonly definition: TableDefinition
  readonly columns: Columns
  /** The same cells by row, made anew at each call for it. */
  readonly rows: readonly Row[]
}

export const releasedTable = (definition: TableDefinition, columns: Columns): ReleasedTable => ({
  definition,
  columns,
  get rows() {
    return columns.rows()
  },
})
