import { join } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { draftGuide, type Loaded, loadCached } from '../load/index.ts'
import { csvOf, type Day, parseDay, TABLE_COLUMNS, type TableName } from '../records/index.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { progressBar } from './progressBar.ts'
import { readReport } from './readReport.ts'
import { helpText } from './wrapped.ts'

interface ReadFlags {
  readonly asOf?: string
  readonly out?: string
  readonly guide?: string
  readonly suggestGuide?: true
}

const HELP = `
Writes clients.csv, assessments.csv, programmes.csv, sessions.csv and problems.csv to the --out folder, and tells for
every file how many records were read, kept and rejected, and why. No record is ever lost or changed without a word.

Examples:
  waneline read exports --as-of 2026-06-30 --out tables
  waneline read exports --as-of 2026-06-30 --out tables --guide our-clinic.yaml
  waneline read exports --suggest-guide > draft.yaml

Look the draft through, save it as exports/guide.yaml, and draft again until nothing is left that you can say.

Reads CSV and other delimited text (comma, semicolon, tab, pipe; UTF-8, UTF-16, Windows-1252), XLSX, JSON, NDJSON, FHIR R4
Patients and Observations, Parquet; any of these in gzip or zip. What the files cannot prove (which of two numbers is
the month, what "Strokes" means) is said in a reading guide, guide.yaml in the folder: see datasets/reading-guide.md.

Limits, each reached with a message: 4,096 columns a table; 16 MB a record (a longer line comes back as a ragged record);
JSON 100 levels deep; archives of 10,000 members, 2 GB unpacked and 250 times their size; workbooks, Parquet and zip
files of 1 GB, the sheets of a workbook 256 MB unpacked; 100,000 files. Links are not followed.
${CACHE_HELP}
Exit code 0 when the five tables were written, rejected records or not; 1 when not one record could be taken, or nothing
could be read, with the reason.`

/** Adds `waneline read` to the command line. */
export function registerRead(program: Command): void {
  program
    .command('read')
    .summary('raw exports to five tables, every record accounted for')
    .description('Reads a folder of raw exports into five tables, and accounts for every record.')
    .argument('<folder>', 'the folder that holds the exports; subfolders are read too')
    .option('--as-of <date>', 'the day the report is made for, YYYY-MM-DD; later records are rejected')
    .option('--out <folder>', 'where the five tables are written')
    .option('--guide <file>', 'a reading guide (default: guide.yaml in the folder, if there is one)')
    .option(
      '--suggest-guide',
      'prints a draft of what a reading guide has to say, or has left to say, with DECIDE where a person has to',
    )
    .addOption(noCacheFlag())
    .addHelpText('after', helpText(HELP))
    .action((folder: string, flags: ReadFlags) => read(folder, flags))
}

async function read(folder: string, flags: ReadFlags): Promise<void> {
  if (flags.suggestGuide) {
    process.stdout.write(await draftGuide(folder, { guide: flags.guide }))
    return
  }
  const asOf = flags.asOf === undefined ? undefined : dayOfFlag(flags.asOf)
  if (flags.out === undefined && asOf !== undefined)
    throw new UserError('Say where the tables are to be written: --out FOLDER.', { exitCode: 2 })
  const bar = progressBar()
  let loaded: Loaded
  try {
    loaded = await loadCached(folder, { asOf, guide: flags.guide, onProgress: bar.show })
  } finally {
    bar.clear()
  }
  await writeTables(loaded, flags.out as string)
  process.stdout.write(readReport(loaded, folder, flags.out as string, flags.guide))
  if (loaded.ledger.every(({ rows }) => rows === 0))
    throw new UserError(
      'Not one record could be taken: the five tables are empty. The account above says why.',
    )
}

function dayOfFlag(text: string): Day {
  const day = parseDay(text)
  if (day === null)
    throw new UserError(`--as-of "${text}" is no date. Write it as YYYY-MM-DD, for example 2026-06-30.`, {
      exitCode: 2,
    })
  return day
}

const writeTables = ({ records }: Loaded, out: string): Promise<void> =>
  writeWhole(
    (Object.keys(TABLE_COLUMNS) as TableName[]).map((table) => ({
      path: join(out, `${table}.csv`),
      content: csvOf(records, table),
    })),
  )
