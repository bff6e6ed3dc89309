import { randomBytes } from 'node:crypto'
import { existsSync, readFileSync, realpathSync } from 'node:fs'
import { mkdir, open, rename, rm, stat } from 'node:fs/promises'
import { basename, dirname, join, relative, resolve, sep } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { parse } from 'yaml'
import { z } from 'zod'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { loadFolder } from '../load/index.ts'
import { markdown } from '../notebook/blocks.ts'
import { pageHtml } from '../notebook/html/page.ts'
import { sha256, versions } from '../notebook/run.ts'
import { type Day, parseDay } from '../records/index.ts'
import {
  type HierarchySettings,
  makeRelease,
  newSecret,
  type Release,
  releasedPeople,
  riskMarkdown,
} from '../release/index.ts'

interface Options {
  readonly asOf?: Day
  readonly out: string
  readonly k: number
  readonly l: number
  readonly maxSuppressed: number
  readonly maxUnique: number
  readonly secret?: string
  readonly guide?: string
  readonly hierarchies?: string
  readonly previous?: string
}

const whole =
  (least: number) =>
  (text: string): number => {
    const value = Number(text)
    if (!Number.isInteger(value) || value < least)
      throw new InvalidArgumentError(`a whole number of ${least} or more.`)
    return value
  }

function share(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !(value >= 0 && value <= 1))
    throw new InvalidArgumentError('a share from 0 to 1.')
  return value
}

function day(text: string): Day {
  const found = parseDay(text)
  if (found === null) throw new InvalidArgumentError('a date, YYYY-MM-DD.')
  return found
}

/** The real place of a path of which only the beginning may exist. */
function realPlace(path: string): string {
  const whole_ = resolve(path)
  return existsSync(whole_) ? realpathSync(whole_) : join(realPlace(dirname(whole_)), basename(whole_))
}

const inside = (path: string, folder: string): boolean => {
  const way = relative(realPlace(folder), realPlace(path))
  return way === '' || (!way.startsWith(`..${sep}`) && way !== '..')
}

/** The clinic's secret, made on first use with owner-only rights. Never printed. */
async function secretOf(path: string | undefined, out: string): Promise<Uint8Array> {
  if (path === undefined) return newSecret()
  if (inside(path, out))
    throw new UserError(
      `The secret ${path} lies in the release folder ${out}. Keep it outside: whoever has both knows who everybody is.`,
      {
        exitCode: 2,
      },
    )
  if (!existsSync(path)) {
    const secret = newSecret()
    await mkdir(dirname(resolve(path)), { recursive: true, mode: 0o700 })
    const handle = await open(path, 'wx', 0o600)
    try {
      await handle.writeFile(`${Buffer.from(secret).toString('hex')}\n`)
      await handle.sync()
    } finally {
      await handle.close()
    }
    return secret
  }
  const { mode } = await stat(path)
  if (process.platform !== 'win32' && (mode & 0o077) !== 0)
    throw new UserError(`Others than its owner may read the secret ${path}. Run: chmod 600 ${path}`)
  const text = readFileSync(path, 'utf8').trim()
  if (!/^[0-9a-f]{64}$/.test(text))
    throw new UserError(
      `${path} holds no secret: 64 hexadecimal digits are expected. Name a file that does not exist to have one made.`,
    )
  return Buffer.from(text, 'hex')
}

const words = z.record(z.string(), z.array(z.string()))
const hierarchiesShape = z.strictObject({
  age_bands: z.array(z.array(z.number().int().min(0).max(89))).optional(),
  groups: words.optional(),
  sites: words.optional(),
})

function hierarchiesOf(path: string | undefined): HierarchySettings | undefined {
  if (path === undefined) return undefined
  let value: unknown
  try {
    value = parse(readFileSync(path, 'utf8'))
  } catch (cause) {
    throw new UserError(
      `Cannot read the hierarchies ${path}: ${cause instanceof Error ? cause.message : cause}`,
      { cause },
    )
  }
  const result = hierarchiesShape.safeParse(value)
  if (!result.success)
    throw new UserError(
      `${path}: ${result.error.issues.map((i) => `${i.path.join('.') || 'top'}: ${i.message}`).join('; ')}. Allowed: age_bands (lists of lower bounds in years), groups and sites (released word: list of the clinic's words).`,
    )
  return result.data
}

function previousPeople(folder: string | undefined) {
  if (folder === undefined) return undefined
  const path = join(folder, 'people.csv')
  try {
    return releasedPeople(readFileSync(path, 'utf8'))
  } catch (cause) {
    throw new UserError(`Cannot read ${path}. --previous takes the folder of an earlier release.`, { cause })
  }
}

const riskPage = async (release: Release): Promise<string> => {
  const text = riskMarkdown(release.risk)
  return pageHtml(
    {
      title: 'Risk report of the anonymised tables',
      cells: [{ title: '', code: '', blocks: [markdown(text)] }],
      provenance: {
        notebook: 'risk report',
        notebookSha256: sha256(text),
        parameters: [],
        inputs: [],
        versions: versions(),
      },
    },
    { code: false },
  )
}

/** The whole folder appears at once under its name, or not at all. */
async function writeFolder(
  folder: string,
  files: readonly { name: string; content: string | Uint8Array }[],
): Promise<void> {
  if (existsSync(folder))
    throw new UserError(
      `${folder} is there already. A release is written whole: name a folder that does not exist.`,
      { exitCode: 2 },
    )
  const waiting = join(
    dirname(resolve(folder)),
    `.${basename(folder)}.${randomBytes(6).toString('hex')}.part`,
  )
  try {
    await mkdir(waiting, { recursive: true, mode: 0o700 })
    await writeWhole(files.map(({ name, content }) => ({ path: join(waiting, name), content })))
    await rename(waiting, folder)
  } catch (error) {
    await rm(waiting, { recursive: true, force: true })
    if (error instanceof UserError) throw error
    throw new UserError(`Cannot write ${folder}: ${error instanceof Error ? error.message : error}`, {
      cause: error,
    })
  }
}

async function release(data: string, options: Options): Promise<void> {
  const secret = await secretOf(options.secret, options.out)
  const hierarchies = hierarchiesOf(options.hierarchies)
  const previous = previousPeople(options.previous)
  const loaded = await loadFolder(data, { asOf: options.asOf, guide: options.guide })
  const made = makeRelease(loaded.records, {
    asOf: loaded.asOf,
    secret,
    k: options.k,
    l: options.l,
    maxSuppressed: options.maxSuppressed,
    maxUnique: options.maxUnique,
    ...(hierarchies ? { hierarchies } : {}),
    ...(previous ? { previous } : {}),
  })
  await writeFolder(options.out, [...made.files, { name: 'risk-report.html', content: await riskPage(made) }])
  const { people, k, l, longitudinal, intersection, fidelity } = made.risk
  const parting = fidelity.filter((f) => f.parts).length
  process.stdout.write(
    [
      `${options.out}: ${people.released} of ${people.consenting} consenting clients, ${people.suppressed} left out`,
      `smallest group ${k.reached} (asked ${k.asked}), starting severities ${l.reached} (asked ${l.asked}), time in units of ${longitudinal.unit.replaceAll('_', ' ')}`,
      longitudinal.withheld > 0
        ? `scores and weeks of ${longitudinal.withheld} people withheld: their visits would single them out`
        : '',
      parting > 0
        ? `warning: ${parting} headline figures part from the records' own; see risk-report.html`
        : '',
      intersection?.warning ? `warning: ${intersection.warning}` : '',
      'Read risk-report.html before anything leaves. Local data-protection law and ethics approval decide.',
    ]
      .filter(Boolean)
      .map((line) => `${line}\n`)
      .join(''),
  )
}

const EXAMPLES = `
Only clients with research consent "yes" enter. Pseudonyms are drawn anew for each release; with --secret they stay the
same next year, for whoever has that file, which is made on first use and must be kept outside the release.

Examples:
  waneline release exports --as-of 2026-06-30 --out tables-2026
  waneline release exports --as-of 2026-06-30 --out tables-2026 --k 8 --secret ~/clinic.secret
  waneline release exports --as-of 2027-06-30 --out tables-2027 --secret ~/clinic.secret --previous tables-2026
`

/** `waneline release FOLDER`. */
export function registerRelease(program: Command): void {
  program
    .command('release')
    .summary('anonymised tables, with their measured risk')
    .description(
      'Writes anonymised tables of the consenting clients, with codebook and risk report, or nothing.',
    )
    .argument('<folder>', 'folder of raw exports')
    .requiredOption('--out <folder>', 'folder to be made for the release')
    .option('--as-of <date>', 'the day the tables are made for, YYYY-MM-DD', day)
    .option('--k <number>', 'smallest group of people alike', whole(1), 5)
    .option('--l <number>', 'fewest starting severities in a group', whole(1), 2)
    .option('--max-suppressed <share>', 'largest share of people left out', share, 0.05)
    .option('--max-unique <share>', 'largest share unique by their sequence of visits', share, 0.05)
    .option('--secret <file>', 'key of lasting pseudonyms')
    .option('--guide <file>', 'reading guide')
    .option('--hierarchies <file>', 'YAML: age bands, and which groups and sites go together')
    .option('--previous <folder>', 'an earlier release, to say what both give away together')
    .addHelpText('after', EXAMPLES)
    .action(release)
}
