/** How large one thing may be before a reader stops with a message instead of filling the machine's memory. */

/** A line of NDJSON or an entry of a JSON list, bytes; a longer one comes back as a ragged record. */
export const MAX_JSON_RECORD_BYTES = 16 * 1024 * 1024
/** Objects within objects; a deeper JSON record comes back ragged. */
export const MAX_JSON_DEPTH = 100
/** What stands around the lists of a JSON file, bytes. */
export const MAX_JSON_FRAME_BYTES = 4 * 1024 * 1024
/** Different headings (dotted paths) in one JSON, Parquet or workbook table. */
export const MAX_COLUMNS = 4_096
/** Cells (rows times headings) in one JSON, Parquet or workbook table. */
export const MAX_CELLS = 1_000_000_000

/** A compressed file or archive member once unpacked, bytes. */
export const MAX_UNPACKED_BYTES = 2 * 1024 * 1024 * 1024
/** Unpacked bytes for each packed byte, beyond the first {@link FREE_UNPACKED_BYTES}. Honest logs stay under 100. */
export const MAX_UNPACK_RATIO = 250
/** Below this many unpacked bytes no ratio is held against a file. */
export const FREE_UNPACKED_BYTES = 64 * 1024 * 1024
/** Files in one zip archive. */
export const MAX_ARCHIVE_MEMBERS = 10_000
/** A file that has to be held whole (workbook, Parquet, zip), bytes. */
export const MAX_WHOLE_FILE_BYTES = 1024 * 1024 * 1024
/** The parts of a workbook once unpacked, bytes together. */
export const MAX_WORKBOOK_BYTES = 256 * 1024 * 1024

/** A web page whose tables are read, bytes. */
export const MAX_PAGE_BYTES = 64 * 1024 * 1024

/** A record of delimited text, bytes; a longer one comes back as a ragged record. */
export const MAX_RECORD_BYTES = 16 * 1024 * 1024
