import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { UserError } from '../errors.ts'
import { type Day, formatDay, type Records } from '../records/index.ts'
import { assemble } from './assemble/assemble.ts'
import { newJob, ProblemLog, type TableJob } from './assemble/job.ts'
import type { ReadContext } from './context.ts'
import { CountedSource, type FoundFile, GUIDE_FILE, listFolder, type NotRead } from './folder.ts'
import { readDelimited } from './formats/delimited.ts'
import { tieReferences } from './formats/fhirReferences.ts'
import { readTables } from './formats/readTables.ts'
import type { ReadingGuide } from './guide/guide.ts'
import { parseGuide } from './guide/parseGuide.ts'
import { guideContext } from './guide/rules.ts'
import { type LedgerEntry, ledgerOf } from './ledger.ts'
import { planTable } from './plan.ts'
import type { RawTable } from './raw.ts'

export interface LoadOptions {
  /** The day the report is made for: later records are future_date. Required: without it the error names a day to take. */
  readonly asOf?: Day | undefined
  /** A reading guide, or the path of one. Default: `guide.yaml` in the folder, if there is one. */
  readonly guide?: ReadingGuide | string | undefined
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

export interface Loaded {
  readonly records: Records
  readonly ledger: readonly LedgerEntry[]
  readonly sources: readonly LoadedSource[]
  /** Files and sheets nothing was read from, with the reason. */
  readonly notRead: readonly NotRead[]
  /** What a person should know before trusting the figures: no sessions, clients without assessments. */
  readonly warnings: readonly string[]
  readonly asOf: Day
}

/**
 * Reads a folder of raw exports into the five tables, and accounts for every record.
 *
 * @throws UserError for a missing or empty folder, a file that cannot be read, a guide with faults, headings that nobody
 *   could recognise, a missing as-of day
 */
export async function loadFolder(folder: string, options: LoadOptions = {}): Promise<Loaded> {
  const { tables, sources, notRead, context } = await readRawTables(folder, options)
  const { jobs, unplanned, remarks } = planTables(tables, context)
  notRead.push(...unplanned)
  if (jobs.length === 0) throw nothingRecognised(folder, notRead)
  const log = new ProblemLog()
  const records = assemble(jobs, { asOf: options.asOf ?? Number.POSITIVE_INFINITY, log })
  if (options.asOf === undefined) throw asOfMissing(records)
  const ledger = ledgerOf(tables, jobs, log.problems, remarks)
  return {
    records,
    ledger,
    sources: sources.map((source) => ({
      ...source,
      records: ledger
        .filter(({ file }) => isOf(file, source.file))
        .reduce((sum, entry) => sum + entry.records, 0),
    })),
    notRead,
    warnings: warningsOf(records),
    asOf: options.asOf,
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
  const { tables, sources } = await readFiles(files, context, options.onProgress)
  return { tables: tieReferences(tables), sources, notRead, context }
}

const isOf = (table: string, file: string): boolean =>
  table === file || table.startsWith(`${file}#`) || table.startsWith(`${file}/`)

async function guideOf(folder: string, guide: ReadingGuide | string | undefined): Promise<ReadingGuide> {
  if (typeof guide === 'object') return guide
  const path = guide ?? join(folder, GUIDE_FILE)
  const text = await readFile(path, 'utf8').catch((cause) => {
    if (guide === undefined && cause.code === 'ENOENT') return null
    throw new UserError(
      `The reading guide "${path}" cannot be read (${String(cause.code)}). Check the path.`,
      { cause },
    )
  })
  return text === null ? {} : parseGuide(text, guide === undefined ? GUIDE_FILE : basename(path))
}

async function readFiles(
  files: readonly FoundFile[],
  context: ReadContext,
  onProgress: LoadOptions['onProgress'],
): Promise<{ tables: RawTable[]; sources: Omit<LoadedSource, 'records'>[] }> {
  const totalBytes = files.reduce((sum, { bytes }) => sum + bytes, 0)
  const tables: RawTable[] = []
  const sources: Omit<LoadedSource, 'records'>[] = []
  let before = 0
  for (const found of files) {
    const { file, bytes } = found
    const source = new CountedSource(found, (read) =>
      onProgress?.({ file, bytes: before + read, totalBytes }),
    )
    tables.push(...(await readTables(source, context, readDelimited)))
    sources.push({ file, bytes, sha256: await source.sha256() })
    before += bytes
  }
  return { tables, sources }
}

function planTables(
  tables: readonly RawTable[],
  context: ReadContext,
): { jobs: TableJob[]; unplanned: NotRead[]; remarks: Map<string, string[]> } {
  const jobs: TableJob[] = []
  const unplanned: NotRead[] = []
  const remarks = new Map<string, string[]>()
  for (const table of tables) {
    const { file, headings } = table
    const rules = context.rulesFor(file)
    const plan = rules.holds === 'nothing' || headings.length === 0 ? null : planTable(table, rules)
    if (plan !== null) {
      jobs.push(newJob(table, plan))
      if (plan.unused.length > 0)
        remarks.set(file, [
          ...(remarks.get(file) ?? []),
          `columns not read: ${plan.unused.map((h) => `"${h}"`).join(', ')}`,
        ])
    } else unplanned.push({ file, reason: whyUnplanned(table, rules.holds === 'nothing') })
  }
  return { jobs, unplanned, remarks }
}

function whyUnplanned({ headings, remarks, length }: RawTable, unwanted: boolean): string {
  if (unwanted) return 'the reading guide says it holds nothing to read'
  if (headings.length === 0 && length > 0)
    return 'no row of headings was found in it; name it in the reading guide (heading_row), or leave the file out (holds: nothing)'
  if (headings.length === 0) return remarks.length > 0 ? remarks.join(' ') : 'is empty'
  const shown = headings.slice(0, 8).map((heading) => `"${heading.slice(0, 40)}"`)
  return `its headings are not recognised (${shown.join(', ')}${headings.length > 8 ? ', ...' : ''}); say what they mean in a reading guide`
}

const nothingRecognised = (folder: string, notRead: readonly NotRead[]): UserError =>
  new UserError(
    [
      `Nothing in "${folder}" could be read.`,
      ...notRead.slice(0, 20).map(({ file, reason }) => `  ${file}: ${reason}`),
      `Write a reading guide (${GUIDE_FILE} in the folder); "waneline read ${folder} --suggest-guide" drafts one.`,
    ].join('\n'),
  )

/** Fewer clients than this on a day might be a slip of the pen in one file. */
const CLIENTS_THAT_PROVE_A_DAY = 3

function asOfMissing(records: Records): UserError {
  const day = latestSharedDay(records)
  const hint =
    day === null
      ? 'No day has records of three or more clients.'
      : `The latest day on which three or more clients have records is ${formatDay(day)}: --as-of ${formatDay(day)} if that is the day you mean.`
  return new UserError(`The day the report is made for is not given (--as-of YYYY-MM-DD). ${hint}`)
}

function latestSharedDay({ assessments, sessions }: Records): Day | null {
  const clients = new Map<Day, Set<string>>()
  const see = (day: Day, client: string): void => {
    const seen = clients.get(day) ?? new Set<string>()
    clients.set(day, seen)
    if (seen.size < CLIENTS_THAT_PROVE_A_DAY) seen.add(client)
  }
  for (const { assessed_on, client_id } of assessments) see(assessed_on, client_id)
  const { done_on, client_id } = sessions
  for (let i = 0; i < sessions.length; i++)
    see(
      done_on.values[done_on.codes[i] as number] as Day,
      client_id.values[client_id.codes[i] as number] as string,
    )
  let latest: Day | null = null
  for (const [day, seen] of clients)
    if (seen.size >= CLIENTS_THAT_PROVE_A_DAY && (latest === null || day > latest)) latest = day
  return latest
}

function warningsOf({ clients, assessments, sessions }: Records): string[] {
  const warnings: string[] = []
  if (sessions.length === 0)
    warnings.push(
      'No sessions were found, so nothing can be said about what was done at home. Add the home log, or a reading guide that says which file it is.',
    )
  const assessed = new Set(assessments.map((a) => a.client_id))
  const without = clients.filter(({ client_id }) => !assessed.has(client_id))
  if (without.length > 0) {
    const shown = without.slice(0, 5).map((c) => c.client_id)
    warnings.push(
      `${without.length} of ${clients.length} clients have no assessment (${shown.join(', ')}${without.length > 5 ? ', ...' : ''}): nothing can be said about their reflexes.`,
    )
  }
  return warnings
}
