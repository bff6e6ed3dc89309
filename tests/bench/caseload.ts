import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { UserError } from '../../src/errors.ts'
import { writeWhole } from '../../src/files.ts'
import { type Loaded, loadFolder, type ReadingGuide } from '../../src/load/index.ts'
import {
  adherenceSums,
  allSeries,
  calendarWeeks,
  clientAdherence,
  lineAdherence,
  programmeDays,
  programmeWeeks,
} from '../../src/measures/index.ts'
import { parseDay } from '../../src/records/index.ts'
import * as adherence from './adherence-tables.ts'
import { type Cell, csv } from './csv.ts'
import * as course from './series-tables.ts'
import { Stages } from './stages.ts'

/** The job reads no more columns than its peers do, and not what tells the truth behind the invented scores. */
const GUIDE: ReadingGuide = {
  files: [
    {
      match: 'sessions.csv',
      holds: 'sessions',
      columns: Object.fromEntries(
        ['done_at', 'stimulus', 'seconds', 'intensity', 'done_by', 'reaction', 'note'].map((heading) => [
          heading,
          'ignore' as const,
        ]),
      ),
    },
    { match: 'truth*', holds: 'nothing' },
  ],
}

/**
 * One fixed job over a whole caseload, as its peers in `peers/` do it: read, adherence, courses, mixed model, before and after,
 * time to absent. Prints seconds and peak memory of each stage.
 */
async function run(data: string, out: string, asOf: number): Promise<void> {
  const stages = new Stages()
  const loaded = await loadFolder(data, {
    asOf,
    guide: GUIDE,
    linesWithoutDose: 'kept',
  })
  const { records } = loaded
  stages.end('read')
  const days = programmeDays(records, { asOf })
  const sums = adherenceSums(days)
  const lines = lineAdherence(days, sums)
  const clients = clientAdherence(days, sums)
  stages.end('adherence')
  const all = course.startedOf(allSeries(records, { asOf }))
  const trajectories = all.map(course.trajectoryRow)
  stages.end('courses')
  const fit = course.fitOf(course.sumsOf(all))
  stages.end('mixed')
  const prepost = [...course.prepostRows(all)]
  stages.end('prepost')
  const curves = course.curvesOf(all)
  stages.end('absent')
  const total = (of: (line: (typeof lines)[number]) => number): number =>
    lines.reduce((sum, line) => sum + of(line), 0)
  const summary: Cell[][] = [
    ...readCounts(loaded),
    ['clients_kept', records.clients.length],
    ['programmes_with_days', days.programme.linesUsed],
    ['assessments_in_series', fit.nObservations],
    ['sessions_kept', records.sessions.length],
    ['sessions_matched', total((l) => l.sessionsDone)],
    ['line_days', total((l) => l.lineDays)],
    ['line_days_covered', total((l) => l.daysTouchedCount)],
  ]
  const tables: [string, string, Iterable<readonly Cell[]>][] = [
    ['adherence_lines', adherence.LINE_COLUMNS, lines.map(adherence.lineRow)],
    ['adherence_clients', adherence.CLIENT_COLUMNS, clients.map(adherence.clientRow)],
    ['dose_ratio', adherence.DOSE_COLUMNS, adherence.doseRows(lines)],
    [
      'weekly',
      adherence.WEEK_COLUMNS,
      [...calendarWeeks(sums), ...programmeWeeks(sums)].map(adherence.weekRow),
    ],
    ['trajectories', course.TRAJECTORY_COLUMNS, trajectories],
    ['mixed', 'quantity value', course.mixedRows(fit)],
    ['prepost', course.PREPOST_COLUMNS, prepost],
    ['survival', course.SURVIVAL_COLUMNS, curves.flatMap(course.survivalRows)],
    ['absent', course.ABSENT_COLUMNS, curves.map(course.absentRow)],
    [
      'problems',
      'file record field value rule outcome',
      records.problems.map((p) => [p.file, p.record, p.field, p.value, p.rule, p.outcome]),
    ],
    ['summary', 'quantity value', summary],
  ]
  await writeWhole(
    tables.map(([name, columns, rows]) => ({ path: join(out, `${name}.csv`), content: csv(columns, rows) })),
  )
  stages.end('write')
  stages.total()
}

const readCounts = ({ ledger }: Loaded): Cell[][] =>
  ['clients', 'programmes', 'assessments', 'sessions'].map((kind) => [
    `${kind}_read`,
    ledger.filter((e) => e.file === `${kind}.csv`).reduce((sum, e) => sum + e.records, 0),
  ])

const HELP = `npm run bench -- --data FOLDER --out FOLDER --as-of YYYY-MM-DD

Does the job that tests/bench/README.md defines on the caseload in a folder (tests/bench/make-caseload.mjs makes one of any size, and
writes the as-of day into its truth.json). Writes the result files, and prints seconds and peak memory of each stage.`

/** What the command line says; null where it asks for help. */
function optionsGiven() {
  const { values } = parseArgs({
    options: {
      data: { type: 'string' },
      out: { type: 'string' },
      'as-of': { type: 'string' },
      help: { type: 'boolean', short: 'h', default: false },
    },
  })
  if (values.help) return null
  const { data, out } = values
  const asOf = parseDay(values['as-of'] ?? '')
  if (data === undefined || out === undefined || asOf === null)
    throw new UserError(`Say --data, --out and --as-of.\n\n${HELP}`)
  return { data, out, asOf }
}

try {
  const given = optionsGiven()
  if (given === null) console.log(HELP)
  else await run(given.data, given.out, given.asOf)
} catch (error) {
  const said = error instanceof UserError || String((error as { code?: string }).code).startsWith('ERR_PARSE')
  if (!said) throw error
  console.error((error as Error).message)
  process.exitCode = 1
}
