import type { RawTable } from '../raw.ts'
import { parseObjectBytes } from './jsonRecord.ts'
import { type JsonOptions, JsonTables } from './jsonTables.ts'
import { nonBlankLines } from './lines.ts'
import type { Source } from './source.ts'
import { utf8Chunks } from './text.ts'

/**
 * Reads NDJSON: one object a line, a record for each line that is not blank. Nested objects give dotted headings.
 * A line that is not whole JSON, no object, or past a limit is a ragged record. Lines of FHIR resources give clients and
 * assessments. Memory grows with the distinct texts and one code a cell, not with the file.
 */
export async function readNdjson(source: Source, options: JsonOptions = {}): Promise<RawTable[]> {
  const tables = new JsonTables(source.file, options)
  for await (const lines of nonBlankLines(utf8Chunks(source.chunks())))
    for (const { bytes, number, tooLong } of lines) {
      const { object, text, utf8 } = parseObjectBytes(tooLong ? bytes.subarray(0, 1000) : bytes)
      tables.add(tooLong ? null : object, text, number)
      if (!utf8) tables.noteNotUtf8()
    }
  return tables.finish()
}
