import { createHash } from 'node:crypto'
import { createReadStream, readFileSync } from 'node:fs'
import { readdir } from 'node:fs/promises'
import { join } from 'node:path'
import { z } from 'zod'
import { UserError } from './errors.ts'
import { type Loaded, type LoadOptions, loadFolder as load } from './load/index.ts'
import { keepable, recordInput } from './notebook/index.ts'
import { type Day, parseDay } from './records/index.ts'

interface LoadCall {
  readonly folder: string
  readonly options: LoadOptions
}

/** Digest of every file of a folder and of the guide, by path and bytes. */
async function contentKey({ folder, options: { guide } }: LoadCall): Promise<string> {
  const digest = createHash('sha256')
  const entries = await readdir(folder, { recursive: true, withFileTypes: true })
  const files = entries.filter((e) => e.isFile()).map((e) => join(e.parentPath, e.name))
  for (const file of [...files.sort(), ...(typeof guide === 'string' ? [guide] : [])]) {
    digest.update(JSON.stringify(file))
    for await (const chunk of createReadStream(file)) digest.update(chunk as Uint8Array)
  }
  return digest.digest('hex')
}

/** `waneline watch` may read the folder while it waits for the next save. */
const keptLoad = keepable('loadFolder', ({ folder, options }: LoadCall) => load(folder, options), contentKey)

/**
 * Reads a folder of exports into the five tables ({@link load}), and names its files in the provenance of the page that a
 * running notebook makes.
 *
 * @throws UserError for a folder or file that cannot be read, headings that nobody could recognise, a missing as-of day
 */
export async function loadFolder(folder: string, options: LoadOptions = {}): Promise<Loaded> {
  const { onProgress, ...rest } = options
  const loaded = onProgress ? await load(folder, options) : await keptLoad({ folder, options: rest })
  for (const source of loaded.sources) recordInput(source)
  return loaded
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
