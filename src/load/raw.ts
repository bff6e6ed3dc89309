import type { Column } from '../records/index.ts'
import type { Kind } from './guide/guide.ts'

/**
 * One table as a file has it, before anything is made of it: every format reader ends here, and everything after
 * (headings, guide, interpreters, duplicates) starts here. All cells are text; each distinct text of a column is
 * held once.
 */
export interface RawTable {
  /** Path under the folder that was read, with `/`; a sheet is `book.xlsx#Sheet`; a zip member is `a.zip/b.csv`. */
  readonly file: string
  /** Headings as found; for nested JSON the dotted path (`client.code`). */
  readonly headings: readonly string[]
  /** The cells of the rows above the headings. */
  readonly above?: readonly (readonly string[])[]
  /** Records that are not blank, ragged ones included. Record numbers in problems are 1 + the index here. */
  readonly length: number
  /**
   * Only where rows and records differ (a FHIR Bundle counts Patients and Observations together; one Observation may
   * score both sides): the index of the record each row is of, ascending; then `length` and every index in this table
   * count rows, and a record number is 1 + recordOf[row]. Absent: row i is record i. Two tables of one `file` share
   * its numbering. Rows of one record are kept or rejected together and count once.
   */
  readonly recordOf?: ArrayLike<number>
  /** Which of the five tables this is, where the format itself says so (FHIR). */
  readonly holds?: Kind
  /** FHIR Patients: the server's references to them, and the clinic's code each stands for. */
  readonly references?: ReadonlyMap<string, string>
  /** One column a heading, each of `length` codes. An absent cell is the empty text. */
  readonly columns: readonly RawColumn[]
  /** Records whose shape is broken, by index, with the text as found (cut to 200 characters). Their cells are empty. */
  readonly ragged: ReadonlyMap<number, string>
  /** The physical line (from 1) a record begins on, where the format has lines. */
  readonly lineOf: ((record: number) => number) | null
  /** The day that is number 0 in the file's own count of days, as a Day, where bare numbers can be dates (workbooks). */
  readonly serialDayZero: number | null
  /** What a person should know: title rows passed over, hidden sheets not read, the encoding recognised. */
  readonly remarks: readonly string[]
}

/** A raw column: a dictionary of texts, or, where nearly every text differs (notes), texts read from where they lie. */
export type RawColumn = Column<string> | OffsetColumn

/** Free text by offset: nothing is decoded until it is asked for. */
export interface OffsetColumn {
  readonly text: (record: number) => string
}
