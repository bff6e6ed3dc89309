import { UserError } from '../errors.ts'
import type { Day, Records } from '../records/index.ts'
import { asOfMissing } from './asOf.ts'
import { assemble, assembleSmallTables, type SmallTables } from './assemble/assemble.ts'
import { newJob, ProblemLog, type Reckoning, type TableJob } from './assemble/job.ts'
import type { ReadContext } from './context.ts'
import type { NotRead } from './folder.ts'
import { headingPhrase } from './headings/recognise.ts'
import { type LedgerEntry, ledgerOf } from './ledger.ts'
import { planTable, type TablePlan } from './plan.ts'
import type { RawTable } from './raw.ts'
import { distinctTexts } from './rawColumn.ts'

/** What all tables of a folder come to. */
export interface Accounted {
  readonly records: Records
  readonly ledger: readonly LedgerEntry[]
  /** Files and sheets nothing was read from, with the reason. */
  readonly notRead: readonly NotRead[]
  /** What a person should know before trusting the figures: no sessions, clients without assessments. */
  readonly warnings: readonly string[]
  readonly asOf: Day
}

/** What was assembled while other tables were still being read. */
export interface Begun {
  readonly jobs: readonly TableJob[]
  readonly reckoning: Reckoning
  readonly small: SmallTables
}

const reckoningOf = (asOf: Day | undefined, linesWithoutDose: 'rejected' | 'kept'): Reckoning => ({
  asOf: asOf ?? Number.POSITIVE_INFINITY,
  log: new ProblemLog(),
  linesWithoutDose,
})

/**
 * Assembles all but the sessions of some tables, in the hope that those still to come hold nothing but sessions; if they do
 * not, {@link accountFor} begins anew. Null where these tables have a fault, which is told once all are there.
 */
export function beginAccount(
  tables: readonly RawTable[],
  context: ReadContext,
  asOf: Day | undefined,
  linesWithoutDose: 'rejected' | 'kept' = 'rejected',
): Begun | null {
  try {
    const { jobs } = planTables(tables, context)
    const reckoning = reckoningOf(asOf, linesWithoutDose)
    return { jobs, reckoning, small: assembleSmallTables(jobs, reckoning) }
  } catch (error) {
    if (error instanceof UserError) return null
    throw error
  }
}

/** Whether jobs differ from those begun with by sessions alone. */
const stands = (begun: Begun, jobs: readonly TableJob[]): boolean =>
  begun.jobs.every((job) => jobs.includes(job)) &&
  jobs.every((job) => job.plan.kind === 'sessions' || begun.jobs.includes(job))

/**
 * The five tables from raw ones, with the account of every record.
 *
 * @param asOf later records are future_date; undefined is an error that names a day to take
 * @param notRead what was not read so far, for the message where nothing can be
 * @param begun what {@link beginAccount} made of some of these tables with the same as-of day and rule for lines
 * @throws UserError where no table is recognised, one could be read two ways, or the as-of day is missing
 */
export function accountFor(
  tables: readonly RawTable[],
  context: ReadContext,
  asOf: Day | undefined,
  notRead: readonly NotRead[] = [],
  linesWithoutDose: 'rejected' | 'kept' = 'rejected',
  begun: Begun | null = null,
): Accounted {
  const { jobs, unplanned, remarks } = planTables(tables, context, begun?.jobs)
  if (begun !== null && !stands(begun, jobs))
    return accountFor(tables, context, asOf, notRead, linesWithoutDose)
  const left = [...notRead, ...unplanned]
  if (jobs.length === 0) throw nothingRecognised(left)
  const reckoning = begun?.reckoning ?? reckoningOf(asOf, linesWithoutDose)
  const records = assemble(jobs, reckoning, begun?.small)
  if (asOf === undefined) throw asOfMissing(records)
  const ledger = ledgerOf(tables, jobs, reckoning.log, remarks)
  const taken = jobs.flatMap(({ table, plan }) => mayTakeBack(table, plan))
  return { records, ledger, notRead: left, warnings: [...warningsOf(records), ...taken], asOf }
}

const FILES_NAMED = 3
const REASONS_SHOWN = 20

/** Files with the same headings are told together. */
function nothingRecognised(notRead: readonly NotRead[]): UserError {
  const byReason = new Map<string, string[]>()
  for (const { file, reason } of notRead) byReason.set(reason, [...(byReason.get(reason) ?? []), file])
  const reasons = [...byReason].map(([reason, files]) => {
    const more = files.length > FILES_NAMED ? ` and ${files.length - FILES_NAMED} more` : ''
    return `  ${files.slice(0, FILES_NAMED).join(', ')}${more}: ${reason}`
  })
  const rest = reasons.length - REASONS_SHOWN
  return new UserError(
    [
      'Nothing in the folder could be read.',
      ...reasons.slice(0, REASONS_SHOWN),
      ...(rest > 0 ? [`  and ${rest} more`] : []),
      'Say in a reading guide (guide.yaml in the folder) what the files hold; "waneline read FOLDER --suggest-guide" drafts one.',
    ].join('\n'),
    { ofInput: true },
  )
}

function planTables(
  tables: readonly RawTable[],
  context: ReadContext,
  begun: readonly TableJob[] = [],
): { jobs: TableJob[]; unplanned: NotRead[]; remarks: Map<string, string[]> } {
  const jobs: TableJob[] = []
  const unplanned: NotRead[] = []
  const remarks = new Map<string, string[]>()
  for (const table of tables) {
    const { file, headings } = table
    const rules = context.rulesFor(file)
    const known = begun.find((job) => job.table === table)
    const readable = rules.holds !== 'nothing' && headings.length > 0
    const plan = known?.plan ?? (readable ? planTable(table, rules) : null)
    if (plan !== null) {
      jobs.push(known ?? newJob(table, plan))
      remarks.set(file, [...(remarks.get(file) ?? []), ...planRemarks(plan)])
    } else {
      const unwanted = rules.holds === 'nothing'
      const harmless = unwanted || (headings.length === 0 && table.length === 0 && table.remarks.length === 0)
      unplanned.push({ file, reason: whyUnplanned(table, unwanted), ...(harmless && { harmless }) })
    }
  }
  return { jobs, unplanned, remarks }
}

const planRemarks = ({ lacking, unused }: TablePlan): string[] => [
  ...lacking.map(
    (field) =>
      `no heading is understood as ${field}, so every record lacks it; say which one it is in a reading guide`,
  ),
  ...(unused.length > 0 ? [`columns not read: ${unused.map((h) => `"${h}"`).join(', ')}`] : []),
]

const VALUES_SHOWN = 3

/** Columns that nothing is read from, though they may say that what a record tells did not happen. */
function mayTakeBack(table: RawTable, { unused }: TablePlan): string[] {
  return unused
    .filter((heading) => MAY_TAKE_BACK.test(headingPhrase(heading)))
    .flatMap((heading) => {
      const column = table.columns[table.headings.indexOf(heading)]!
      const texts = [...new Set(distinctTexts(column, table.length))].filter((text) => text.trim() !== '')
      if (texts.length === 0) return []
      const shown = texts.slice(0, VALUES_SHOWN).map((text) => `"${text.slice(0, 30)}"`)
      const more = texts.length > VALUES_SHOWN ? ' and others' : ''
      return `${table.file}: every record counts, whatever its column "${heading}" says (${shown.join(', ')}${more}). Leave records out of the export that it says were not done or no longer hold.`
    })
}

/** Headings of columns that may say that what the record tells was not done, or is no longer so. */
const MAY_TAKE_BACK =
  /^(?:(?:session |exercise |record )?(?:done|completed|complete|status|state|cancelled|canceled|skipped|missed|performed|carried out|not done|deleted|void|voided|valid|invalid|active|draft))$/

function whyUnplanned({ headings, remarks, length, ragged }: RawTable, unwanted: boolean): string {
  if (unwanted) return 'the reading guide says it holds nothing to read'
  if (length > 0 && ragged.size === length)
    return 'none of its records is whole: brackets or quotes that are not closed, JSON nested deeper than is read, or lists without a row of headings; export it again'
  if (headings.length === 0 && length > 0)
    return 'no row of headings was found in it; name it in the reading guide (heading_row), or leave the file out (holds: nothing)'
  if (headings.length === 1 && /\S {2,}\S.* {2,}\S/.test((headings[0] as string).trim()))
    return 'its columns seem to be lined up with spaces, which is not read; save it as CSV, or with tabs between the columns'
  if (headings.length === 0) return remarks.length > 0 ? remarks.join(' ') : 'is empty'
  const shown = headings.slice(0, 8).map((heading) => `"${heading.slice(0, 40)}"`)
  return `its headings are not recognised (${shown.join(', ')}${headings.length > 8 ? ', ...' : ''}); say what they mean in a reading guide`
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
      `${without.length} of ${clients.length} ${clients.length === 1 ? 'client has' : 'clients have'} no assessment (${shown.join(', ')}${without.length > 5 ? ', ...' : ''}): nothing can be said about their reflexes.`,
    )
  }
  return warnings
}
