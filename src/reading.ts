import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { z } from 'zod'
import { UserError } from './errors.ts'
import { contentDigest, type Loaded, type LoadOptions, loadFolder as load, loadCached } from './load/index.ts'
import { collector } from './notebook/collector.ts'
import { keepable, recordInput } from './notebook/index.ts'
import { type Day, parseDay } from './records/index.ts'
import { rehearseCaseload } from './rehearsal.ts'

interface LoadCall {
  readonly folder: string
  readonly options: LoadOptions
  readonly cache: boolean
}

/** `waneline watch` may read the folder while it waits for the next save. */
const keptLoad = keepable('loadFolder', {
  make: ({ folder, options, cache }: LoadCall) => (cache ? loadCached : load)(folder, options),
  contentKey: ({ folder, options }: LoadCall) => contentDigest(folder, options),
  rehearsal: rehearseCaseload,
})

/**
 * Reads a folder of exports into the five tables, and names its files in the provenance of the page that a running
 * notebook makes. What came out is kept in `.waneline-cache` beside the exports, owner-only, and used again only where
 * every file's SHA-256, the guide, the options and the toolkit are the same; `--no-cache` does without.
 *
 * @param options.cache whether to keep and use it; the default is so in a notebook that runs, and not so in a script
 * @throws UserError for a folder or file that cannot be read, headings that nobody could recognise, a missing as-of day
 */
export async function loadFolder(
  folder: string,
  options: LoadOptions & { readonly cache?: boolean | undefined } = {},
): Promise<Loaded> {
  const { onProgress, cache = collector() !== null, ...rest } = options
  const loaded = onProgress
    ? await (cache ? loadCached : load)(folder, { ...rest, onProgress })
    : await keptLoad({ folder, options: rest, cache })
  for (const source of loaded.sources) recordInput(source)
  // A page of noughts would tell its reader that nobody needs anybody.
  if (collector() !== null && loaded.ledger.every(({ rows }) => rows === 0)) throw nothingTaken(folder)
  return { ...loaded, warnings: [...unreadWarning(loaded), ...loaded.warnings] }
}

const nothingTaken = (folder: string): UserError =>
  new UserError(
    `Not one record of "${folder}" could be taken, so there is nothing to show. "waneline read FOLDER --as-of DATE --out TABLES" says why, file by file.`,
    { ofInput: true },
  )

/** Files whose records may be missing from the figures. */
const missingOf = ({ notRead }: Pick<Loaded, 'notRead'>) => notRead.filter(({ harmless }) => !harmless)

/** A page must not keep silent about a file that was not read: without a second home log every dose looks low. */
function unreadWarning(loaded: Loaded): string[] {
  const missing = missingOf(loaded)
  if (missing.length === 0) return []
  const shown = missing.slice(0, 5).map(({ file, reason }) => `${file} (${reason.replace(/\.$/, '')})`)
  const more = missing.length > 5 ? `; and ${missing.length - 5} more` : ''
  return [`Not read, so nothing of it is in these figures: ${shown.join('; ')}${more}.`]
}

/** Files that could not be read, as a count: for pages on which no other client and no file may be named. Null where there are none. */
export function unreadCount(loaded: Pick<Loaded, 'notRead'>): string | null {
  const { length } = missingOf(loaded)
  const files = length === 1 ? '1 file was' : `${length} files were`
  return length === 0 ? null : `${files} not read, so nothing of that is in these figures.`
}

/** A parameter that is a date, `YYYY-MM-DD`; its value is a {@link Day}. */
export const dayParameter = (description: string) =>
  z
    .string()
    .refine((text) => parseDay(text) !== null, 'a date is written YYYY-MM-DD')
    .transform((text): Day => parseDay(text) as Day)
    .describe(description)

/** The parameters that every notebook on a folder of exports has. */
export const folderParameters = {
  data: z.string().describe('folder of raw exports'),
  asOf: dayParameter('the day for which everything is reckoned')
    .optional()
    .describe('as-of day, YYYY-MM-DD: the day for which everything is reckoned'),
  guide: z.string().optional().describe('reading guide; guide.yaml in the folder where there is one'),
  seed: z.number().int().default(1).describe('seed of every random draw'),
}

/**
 * A small text file, named in the page's provenance.
 * @throws UserError where it cannot be read
 */
export function readText(path: string): string {
  let bytes: Buffer
  try {
    bytes = readFileSync(path)
  } catch (cause) {
    throw new UserError(`Cannot read ${path}. Name a text file that exists.`, { cause })
  }
  recordInput({
    file: path,
    sha256: createHash('sha256').update(bytes).digest('hex'),
    bytes: bytes.length,
    records: null,
  })
  return bytes.toString('utf8')
}
