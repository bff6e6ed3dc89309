import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { type Loaded, type LoadOptions, loadFolder } from '../../src/load/index.ts'
import { csvOf, parseDay, sessionAt, type TableName } from '../../src/records/index.ts'

export const day = (text: string): number => parseDay(text) as number

/** Runs with a folder that holds these files; gone afterwards. */
export async function withFolder<T>(
  files: Readonly<Record<string, string | Uint8Array>>,
  use: (folder: string) => Promise<T>,
): Promise<T> {
  const folder = await mkdtemp(join(tmpdir(), 'load-'))
  try {
    for (const [file, content] of Object.entries(files)) {
      await mkdir(dirname(join(folder, file)), { recursive: true })
      await writeFile(join(folder, file), content)
    }
    return await use(folder)
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

/** What a folder of these files is read as. */
export const load = (
  files: Readonly<Record<string, string | Uint8Array>>,
  options: LoadOptions = {},
): Promise<Loaded> =>
  withFolder(files, (folder) => loadFolder(folder, { asOf: day('2026-06-30'), ...options }))

/** The rows of one table as CSV lines, headings left out. */
export const lines = ({ records }: Loaded, table: TableName): string[] =>
  [...csvOf(records, table)].join('').trimEnd().split('\n').slice(1)

export const sessionsOf = ({ records }: Loaded) =>
  Array.from({ length: records.sessions.length }, (_, i) => sessionAt(records.sessions, i))
