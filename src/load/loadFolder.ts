import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { UserError } from '../errors.ts'
import type { Day } from '../records/index.ts'
import { type Accounted, accountFor } from './account.ts'
import type { ReadContext } from './context.ts'
import { CountedSource, type FoundFile, GUIDE_FILES, listFolder, type NotRead } from './folder.ts'
import { readDelimited } from './formats/delimited.ts'
import { tieReferences } from './formats/fhirReferences.ts'
import { readTables } from './formats/readTables.ts'
import type { ReadingGuide } from './guide/guide.ts'
import { guideContext } from './guide/rules.ts'
import type { RawTable } from './raw.ts'

export interface LoadOptions {
  /** The day the report is made for: later records are future_date. Required: without it the error names a day to take. */
  readonly asOf?: Day | undefined
  /** A reading guide, or the path of one. Default: `guide.yaml` in the folder, if there is one. */
  readonly guide?: ReadingGuide | string | undefined
  /**
   * What becomes of a programme line without repetitions and without a length: `rejected` as a missing value unless
   * `kept` is said, where sessions alone are to be counted.
   */
  readonly linesWithoutDose?: 'rejected' | 'kept' | undefined
  /** Told now and then how far reading has come. */
  readonly onProgress?: ((progress: Progress) => void) | undefined
}

export interface Progress {
  readonly file: string
  readonly bytes: number
  readonly totalBytes: number
}

/** A file as it was read, so that a page can say what it was made from. */
export interface LoadedSource {
  readonly file: string
  readonly sha256: string
  readonly bytes: number
  /** Records in it, over all its sheets or members. */
  readonly records: number
}

export interface Loaded extends Accounted {
  readonly sources: readonly LoadedSource[]
}

/**
 * Reads a folder of raw exports into the five tables, and accounts for every record.
 *
 * @throws UserError for a missing or empty folder, a file that cannot be read, a guide with faults, headings that nobody
 *   could recognise, a missing as-of day
 */
export async function loadFolder(folder: string, options: LoadOptions = {}): Promise<Loaded> {
  const { tables, sources, notRead, context } = await readRawTables(folder, options)
  const accounted = accountFor(tables, context, options.asOf, notRead, options.linesWithoutDose)
  return {
    ...accounted,
    sources: sources.map((source) => ({
      ...source,
      records: accounted.ledger
        .filter(({ file }) => isOf(file, source.file))
        .reduce((sum, entry) => sum + entry.records, 0),
    })),
  }
}

/** Every table of a folder as the files have it, before anything is made of it. */
export async function readRawTables(
  folder: string,
  options: Pick<LoadOptions, 'guide' | 'onProgress'> = {},
): Promise<{
  readonly tables: RawTable[]
  readonly sources: Omit<LoadedSource, 'records'>[]
  readonly notRead: NotRead[]
  readonly context: ReadContext
}> {
  const { files, notRead } = await listFolder(folder)
  const context = guideContext(await guideOf(folder, options.guide))
  const read = await readFiles(files, context, options.onProgress)
  return { ...read, tables: tieReferences(read.tables), notRead: [...notRead, ...read.notRead], context }
}

const isOf = (table: string, file: string): boolean =>
  table === file || table.startsWith(`${file}#`) || table.startsWith(`${file}/`)

async function guideOf(folder: string, guide: ReadingGuide | string | undefined): Promise<ReadingGuide> {
  if (typeof guide === 'object') return guide
  const paths = guide === undefined ? GUIDE_FILES.map((name) => join(folder, name)) : [guide]
  for (const path of paths) {
    const text = await readFile(path, 'utf8').catch((cause) => {
      if (guide === undefined && cause.code === 'ENOENT') return null
      throw new UserError(
        `The reading guide "${path}" cannot be read (${String(cause.code)}). Check the path.`,
        { cause },
      )
    })
    if (text === null) continue
    // Loaded only where there is a guide to parse: its libraries take longer to load than a small folder to read.
    const { parseGuide } = await import('./guide/parseGuide.ts')
    return parseGuide(text, basename(path))
  }
  return {}
}

async function readFiles(
  files: readonly FoundFile[],
  context: ReadContext,
  onProgress: LoadOptions['onProgress'],
): Promise<{ tables: RawTable[]; sources: Omit<LoadedSource, 'records'>[]; notRead: NotRead[] }> {
  const totalBytes = files.reduce((sum, { bytes }) => sum + bytes, 0)
  const tables: RawTable[] = []
  const sources: Omit<LoadedSource, 'records'>[] = []
  const notRead: NotRead[] = []
  let before = 0
  for (const found of files) {
    const { file, bytes } = found
    const source = new CountedSource(found, (read) =>
      onProgress?.({ file, bytes: before + read, totalBytes }),
    )
    try {
      tables.push(...(await readTables(source, context, readDelimited)))
      sources.push({ file, bytes, sha256: await source.sha256() })
    } catch (error) {
      // One damaged file does not keep the others from being read; it is named where the reading is told.
      if (!(error instanceof UserError)) throw error
      notRead.push({ file, reason: error.message })
    }
    before += bytes
  }
  return { tables, sources, notRead }
}
