import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { UserError } from '../errors.ts'
import type { Day } from '../records/index.ts'
import { type Accounted, accountFor, type Begun, beginAccount } from './account.ts'
import { checkedAsOf } from './asOf.ts'
import type { ReadContext } from './context.ts'
import { CountedSource, type FoundFile, GUIDE_FILES, listFolder, type NotRead } from './folder.ts'
import { THREADED_BYTES } from './formats/delimited/ranges.ts'
import { readDelimited } from './formats/delimited.ts'
import { tieReferences } from './formats/fhirReferences.ts'
import { readTables } from './formats/readTables.ts'
import { UnreadableFile, unreadable } from './formats/source.ts'
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
 * @throws UserError for an as-of day that is no {@link Day}, a missing or empty folder, a file that cannot be read, a guide with faults, headings that nobody
 *   could recognise, a missing as-of day
 */
export async function loadFolder(folder: string, options: LoadOptions = {}): Promise<Loaded> {
  const { asOf, linesWithoutDose } = options
  checkedAsOf(asOf)
  let begun: Begun | null = null
  const { tables, sources, notRead, context } = await readRawTables(folder, options, (others, rules) => {
    begun = beginAccount(others, rules, asOf, linesWithoutDose)
  })
  const accounted = accountFor(tables, context, asOf, notRead, linesWithoutDose, begun)
  const recordsOf = (source: CountedSource): number =>
    accounted.ledger
      .filter(({ file }) => isOf(file, source.file))
      .reduce((sum, entry) => sum + entry.records, 0)
  const told: LoadedSource[] = []
  for (const source of sources)
    told.push({
      file: source.file,
      sha256: await source.sha256(),
      bytes: source.onDisk.bytes,
      records: recordsOf(source),
    })
  return { ...accounted, sources: told }
}

/**
 * Every table of a folder as the files have it, before anything is made of it.
 *
 * @param onOthers told the tables of all files but the largest, where that is still being cut by threads and there is time to use
 */
export async function readRawTables(
  folder: string,
  options: Pick<LoadOptions, 'guide' | 'onProgress'> = {},
  onOthers: (tables: readonly RawTable[], context: ReadContext) => void = () => {},
): Promise<{
  readonly tables: RawTable[]
  readonly sources: CountedSource[]
  readonly notRead: NotRead[]
  readonly context: ReadContext
}> {
  const { files, notRead } = await listFolder(folder)
  const context = guideContext(await guideOf(folder, options.guide))
  const read = await readFiles(files, context, options.onProgress, (others) =>
    onOthers(tieReferences(others), context),
  )
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

/** What reading one file came to. */
interface ReadFile {
  readonly tables: readonly RawTable[]
  readonly sources: readonly CountedSource[]
  readonly notRead: readonly NotRead[]
}

/** Reads all files one after the other; the largest, which threads may be cutting, beside them. */
async function readFiles(
  files: readonly FoundFile[],
  context: ReadContext,
  onProgress: LoadOptions['onProgress'],
  onOthers: (tables: readonly RawTable[]) => void,
): Promise<{ tables: RawTable[]; sources: CountedSource[]; notRead: NotRead[] }> {
  const totalBytes = files.reduce((sum, { bytes }) => sum + bytes, 0)
  let bytes = 0
  const readOne = (found: FoundFile): Promise<ReadFile> => {
    let counted = 0
    return readFileOf(found, context, (read) => {
      // Its beginning may be looked at more than once.
      if (read <= counted) return
      bytes += read - counted
      counted = read
      onProgress?.({ file: found.file, bytes, totalBytes })
    })
  }
  const largest = files.reduce((most, found) => (found.bytes > most.bytes ? found : most))
  const others = async (): Promise<ReadFile[]> => {
    const done: ReadFile[] = []
    for (const found of files) if (found !== largest) done.push(await readOne(found))
    if (largest.bytes >= THREADED_BYTES) onOthers(done.flatMap(({ tables }) => tables))
    return done
  }
  const [read, done] = await Promise.all([readOne(largest), others()])
  done.splice(files.indexOf(largest), 0, read)
  return {
    tables: done.flatMap(({ tables }) => tables),
    sources: done.flatMap(({ sources }) => sources),
    notRead: done.flatMap(({ notRead }) => notRead),
  }
}

async function readFileOf(
  found: FoundFile,
  context: ReadContext,
  onBytes: (bytes: number) => void,
): Promise<ReadFile> {
  const { file } = found
  const source = new CountedSource(found, onBytes)
  try {
    const tables = await readTables(source, context, readDelimited)
    return { tables, sources: [source], notRead: [] }
  } catch (error) {
    // One damaged file does not keep the others from being read; it is named where the reading is told.
    if (error instanceof UnreadableFile || !(error instanceof UserError))
      throw unreadable(file, error) ?? error
    return { tables: [], sources: [], notRead: [{ file, reason: error.message }] }
  }
}
