import { codeArray } from '../../records/index.ts'
import type { RawColumn, RawTable } from '../raw.ts'

/** A server's own words for a version of a resource, after which nothing that matters follows. */
const VERSION = /\/_history\/.*$/
const LAST_TWO = /Patient\/[^/]+$/

/**
 * Puts the clinic's codes in the place of a FHIR server's references to Patients, across the files of a folder. A
 * Patient of the same file comes first; a reference that two other files tie to different codes, or none to any, is
 * left as it stands, and comes back as an unknown client.
 */
export function tieReferences(tables: readonly RawTable[]): RawTable[] {
  const byFile = new Map<string, ReadonlyMap<string, string>>()
  const everywhere = new Map<string, string | null>()
  for (const { file, references } of tables) {
    if (references === undefined) continue
    byFile.set(file, references)
    for (const [reference, code] of references) {
      const known = everywhere.get(reference)
      everywhere.set(reference, known === undefined || known === code ? code : null)
    }
  }
  if (byFile.size === 0) return [...tables]
  return tables.map((table) =>
    table.holds === 'assessments'
      ? tied(table, (text) => codeOf(text, byFile.get(table.file), everywhere))
      : table,
  )
}

function codeOf(
  reference: string,
  own: ReadonlyMap<string, string> | undefined,
  everywhere: ReadonlyMap<string, string | null>,
): string {
  const plain = reference.replace(VERSION, '')
  for (const name of [plain, LAST_TWO.exec(plain)?.[0]]) {
    const code = name === undefined ? undefined : (own?.get(name) ?? everywhere.get(name))
    if (code) return code
  }
  return reference
}

function tied(table: RawTable, codeFor: (text: string) => string): RawTable {
  const at = table.headings.indexOf('client_id')
  const column = table.columns[at]
  if (column === undefined || 'text' in column) return table
  const columns: RawColumn[] = [...table.columns]
  columns[at] = renamed(column.codes, column.values.map(codeFor))
  return { ...table, columns }
}

/** The column with its texts renamed, each distinct one held once though two references may lead to one client. */
function renamed(codes: ArrayLike<number>, names: readonly string[]): RawColumn {
  const codeOf = new Map<string, number>()
  const newCode = names.map((name) => {
    const code = codeOf.get(name) ?? codeOf.size
    codeOf.set(name, code)
    return code
  })
  const renumbered = codeArray(codes.length, codeOf.size)
  for (let row = 0; row < codes.length; row++) renumbered[row] = newCode[codes[row] as number] as number
  return { codes: renumbered, values: [...codeOf.keys()] }
}
