import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { type Command, InvalidArgumentError, Option } from 'commander'
import { UserError } from '../errors.ts'
import { loadCached } from '../load/index.ts'
import { markdown } from '../notebook/blocks.ts'
import { pageHtml } from '../notebook/html/page.ts'
import { sha256, versions } from '../notebook/run.ts'
import { type Day, parseDay, type Records } from '../records/index.ts'
import {
  counted,
  type HierarchySettings,
  makeRelease,
  parseHierarchies,
  peopleCounted,
  percentWords,
  type Release,
  type ReleasedPerson,
  type RiskReport,
  releasedPeople,
  riskMarkdown,
  TIME_UNITS,
  type TimeUnit,
  unusedWords,
} from '../release/index.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { collectGarbage } from './collectGarbage.ts'
import { refuseExisting, writeFolder } from './releaseFolder.ts'
import { secretOf } from './releaseSecret.ts'
import { helpText } from './wrapped.ts'

interface Options {
  readonly asOf?: Day
  readonly out: string
  readonly k: number
  readonly l: number
  readonly maxSuppressed: number
  readonly maxUnique: number
  readonly finest: TimeUnit
  readonly raters: boolean
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

function hierarchiesOf(path: string | undefined): HierarchySettings | undefined {
  if (path === undefined) return undefined
  try {
    return parseHierarchies(readFileSync(path, 'utf8'), path)
  } catch (cause) {
    if (cause instanceof UserError) throw cause
    throw new UserError(
      `Cannot read the hierarchies ${path}: ${cause instanceof Error ? cause.message : cause}`,
      {
        cause,
      },
    )
  }
}

function previousPeople(folder: string | undefined): ReleasedPerson[] | undefined {
  if (folder === undefined) return undefined
  try {
    const [people, scores] = ['people.csv', 'scores.csv'].map((name) =>
      readFileSync(join(folder, name), 'utf8'),
    )
    return releasedPeople(people!, scores!)
  } catch (cause) {
    if (cause instanceof UserError) throw cause
    const reason = cause instanceof Error ? cause.message : String(cause)
    throw new UserError(`${reason}. --previous takes the folder of an earlier release.`, { cause })
  }
}

/** The tables that the risk report tells of, as the data package names them, so that it can be held against them. */
function tablesOf({
  files,
  tables,
}: Release): { file: string; sha256: string; bytes: number; records: number }[] {
  const described = files.find((f) => f.name === 'datapackage.json')!.content
  const { resources } = JSON.parse(String(described)) as {
    resources: { name: string; path: string; bytes: number; hash: string }[]
  }
  return resources.map(({ name, path, bytes, hash }) => ({
    file: path,
    sha256: hash.replace('sha256:', ''),
    bytes,
    records: tables.find((t) => t.definition.name === name)!.columns.length,
  }))
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
        inputs: tablesOf(release),
        versions: versions(),
      },
    },
    { code: false },
  )
}

/** Says on a terminal what is going on; elsewhere nothing. */
const tell = (text: string): void => {
  if (process.stderr.isTTY) process.stderr.write(`\r${text}\x1b[K`)
}

/** From so many sessions and scores on what a step leaves behind is worth collecting. */
const LARGE = 500_000

function stepTeller({ sessions, assessments }: Records): (what: string) => void {
  const large = sessions.length + assessments.length >= LARGE
  return (what) => {
    tell(what)
    if (large) collectGarbage()
  }
}

async function release(data: string, options: Options): Promise<void> {
  refuseExisting(options.out)
  const secret = await secretOf(options.secret, options.out)
  const hierarchies = hierarchiesOf(options.hierarchies)
  const previous = previousPeople(options.previous)
  const loaded = await loadCached(data, {
    asOf: options.asOf,
    guide: options.guide,
    onProgress: ({ bytes, totalBytes }) =>
      tell(`reading, ${Math.round((100 * bytes) / Math.max(1, totalBytes))} %`),
  })
  const onStep = stepTeller(loaded.records)
  const made = makeRelease(loaded.records, {
    asOf: loaded.asOf,
    secret: secret.key,
    k: options.k,
    l: options.l,
    maxSuppressed: options.maxSuppressed,
    maxUnique: options.maxUnique,
    finest: options.finest,
    raters: options.raters,
    onStep,
    sourceFiles: loaded.sources.map((source) => source.file),
    ...(hierarchies ? { hierarchies } : {}),
    ...(previous ? { previous } : {}),
  })
  const page = { name: 'risk-report.html', content: await riskPage(made) }
  made.check([page])
  onStep('writing')
  await secret.keep()
  try {
    await writeFolder(options.out, [...made.files, page])
  } catch (error) {
    await secret.forget()
    throw error
  }
  tell('')
  process.stdout.write(
    [
      ...summary(options.out, made.risk),
      ...unusedWords(hierarchies ?? {}, loaded.records.clients).map(
        (w) => `warning: ${options.hierarchies}, ${w}`,
      ),
      secret.advice,
      'Read risk-report.html before anything leaves. Local data-protection law and ethics approval decide.',
    ]
      .filter((line) => line !== '')
      .map((line) => `${line}\n`)
      .join(''),
  )
}

function summary(
  out: string,
  { people, k, l, longitudinal: time, intersection, fidelity }: RiskReport,
): string[] {
  const { twoVisitRiskMean, twoVisitAlone } = time.released
  const certain = Math.round(twoVisitAlone * people.released)
  const parting = fidelity.filter((f) => f.parts).length
  return [
    `${out}: ${people.released} of ${counted(people.consenting, 'consenting client')}, ${people.suppressed} left out`,
    `smallest group ${k.reached} (asked ${k.asked}), starting severities ${l.reached} (asked ${l.asked}), time in units of ${time.unit.replaceAll('_', ' ')}`,
    `who knows a person's age, sex, site, group and two visits to the day finds their row with a chance of ${percentWords(twoVisitRiskMean)} on average, and for certain with ${certain === 0 ? 'nobody' : `${certain} of ${peopleCounted(people.released)} (${percentWords(twoVisitAlone, 1)})`}; ${twoVisitAlone <= time.maxUnique ? 'promised' : 'asked for'}: at most ${percentWords(time.maxUnique)}`,
    `who knows exactly which reflexes were scored finds for certain ${percentWords(time.uniqueByReflexes)} of those whose scores leave; this is measured, nothing is promised`,
    time.withheld > 0
      ? `scores and weeks of ${peopleCounted(time.withheld)} withheld: ${time.withheld === 1 ? 'those visits' : 'their visits'} would single out too many`
      : '',
    parting > 0
      ? `warning: ${counted(parting, 'headline figure')} ${parting === 1 ? 'parts' : 'part'} from the records' own; see risk-report.html`
      : '',
    intersection ? `warning: ${intersection.warning}` : '',
  ].filter(Boolean)
}

const EXAMPLES = `
Only clients with research consent "yes" enter. Pseudonyms are drawn anew for each release; with --secret they stay the
same next year, for whoever has that file, which is made on first use, must be kept outside the release and be readable
by its owner only. A folder that is there already is never written to, nor replaced. What can be merged, and how it is
said: datasets/release-hierarchies.md.

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
    .addOption(
      new Option('--finest <unit>', 'finest unit of time that may leave').choices(TIME_UNITS).default('week'),
    )
    .option('--no-raters', 'leave out who scored')
    .option('--secret <file>', 'key of lasting pseudonyms')
    .option('--guide <file>', 'reading guide')
    .option('--hierarchies <file>', 'YAML: age bands, and which groups and sites go together')
    .option('--previous <folder>', 'an earlier release, to say what both give away together')
    .addOption(noCacheFlag())
    .addHelpText('after', helpText(EXAMPLES + CACHE_HELP))
    .action(release)
}
