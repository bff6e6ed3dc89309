import { UserError } from '../errors.ts'
import { programmeDays, reactions } from '../measures/index.ts'
import type { Day, Records } from '../records/index.ts'
import { clinicView } from './clinic-view.ts'
import { codebook, dataPackage } from './data-package.ts'
import { type ReleasedPerson, releasedPeople } from './earlier-release.ts'
import { type FidelityFigure, fidelity } from './fidelity.ts'
import type { ReleasedTable } from './fields.ts'
import { csvOf, parquetOf, type ReleaseFile } from './files.ts'
import { type HierarchySettings, hierarchies } from './hierarchy.ts'
import { identifiersOf } from './identifiers.ts'
import { intersectionRisk } from './intersection.ts'
import { leakScanner, refuseLeaks } from './leak-scan.ts'
import { coarsen } from './longitudinal.ts'
import { outcomesOf } from './outcomes.ts'
import { meanDoses } from './person-rows.ts'
import { reactionsOf } from './reactions-of.ts'
import { generalised, ratersOf, releasedRows, sequencesOf } from './released-people.ts'
import { type RiskReport, riskReport, STATEMENT } from './risk-report.ts'
import type { Columns } from './rows.ts'
import { adherenceColumns, buildTables, type TableInput } from './tables.ts'
import type { TimeUnit } from './time-units.ts'

export interface ReleaseOptions {
  readonly asOf: Day
  /** Key of the pseudonyms. The same secret gives the same pseudonyms; a fresh one cannot be tied to any other release. */
  readonly secret: Uint8Array
  readonly k?: number
  readonly l?: number
  /** Largest share of people left out after generalising; 0.05 unless given. */
  readonly maxSuppressed?: number
  /** Largest share of people who may be unique by their sequence of visits; 0.05 unless given. */
  readonly maxUnique?: number
  /** Finest unit of time that may leave; weeks unless given. */
  readonly finest?: TimeUnit
  readonly hierarchies?: HierarchySettings
  /** Whether pseudonyms of the raters leave; they do unless told. */
  readonly raters?: boolean
  /** People of an earlier release, to say what the two give away together. */
  readonly previous?: readonly ReleasedPerson[]
  /** Names of the files that were read, which must not leave. */
  readonly sourceFiles?: readonly string[]
  /** Told before each step that takes long with a large caseload, in words. */
  readonly onStep?: (what: string) => void
}

export interface Release {
  readonly tables: readonly ReleasedTable[]
  readonly files: readonly ReleaseFile[]
  readonly risk: RiskReport
  /**
   * Searches further files that are to be written beside these for identifiers.
   * @throws UserError where one stands there
   */
  readonly check: (more: readonly ReleaseFile[]) => void
}

const preface = (unit: TimeUnit): string =>
  `${STATEMENT}\n\nDates are counts of whole units of time (${unit}) from each person's own start. Empty is not known or withheld; \`*\` is withheld. Codes are those of the clinic's normalised records. CSV cells that begin with =, +, -, @, tab or a line break carry an apostrophe in front; Parquet files hold them as they are.`

/** The weeks that leave, and each client's mean dose; the programme's days of a large caseload are let go of with the call. */
function weeksOf(
  records: Records,
  asOf: Day,
  input: TableInput,
): { readonly adherence: Columns; readonly doses: readonly number[] } {
  const days = programmeDays(records, { asOf })
  return { adherence: adherenceColumns(days, input), doses: meanDoses(days) }
}

/** The tables, and what they still say. */
function tablesOf(
  records: Records,
  asOf: Day,
  input: TableInput,
  onStep: (what: string) => void,
): { readonly tables: readonly ReleasedTable[]; readonly figures: readonly FidelityFigure[] } {
  onStep('adding up weeks')
  const { adherence, doses } = weeksOf(records, asOf, input)
  onStep('making the tables')
  const ids = new Set(input.people.map((p) => p.person.client.client_id))
  const tables = buildTables(input, adherence, reactionsOf(records, asOf, ids))
  const figures = fidelity(
    {
      doses,
      outcomes: outcomesOf(input.clinic.changes),
      reactions: reactions(records, { asOf }),
    },
    tables,
  )
  return { tables, figures }
}

/**
 * The anonymised tables of the clients who consented, and their measured risk. Pure: nothing is read or written.
 *
 * @throws UserError where k and l cannot be reached (with the nearest that can), a hierarchy is wrong, or an identifier
 *   would leave
 */
export function makeRelease(records: Records, options: ReleaseOptions): Release {
  const {
    asOf,
    secret,
    k = 5,
    l = 2,
    maxSuppressed = 0.05,
    maxUnique = 0.05,
    finest = 'week',
    raters = true,
    onStep = () => {},
  } = options
  const used = hierarchies(options.hierarchies)
  onStep('coarsening and measuring')
  const clinic = clinicView(records, asOf)
  const { consenting } = clinic
  if (consenting.length === 0)
    throw new UserError('No client has research_consent "yes", so there is nothing to release.')
  const found = generalised(consenting, used, k, l, maxSuppressed)
  const people = releasedRows(consenting, found.values, secret)
  const longitudinal = coarsen(sequencesOf(people), { finest, maxUnique })
  const { unit } = longitudinal
  const input = {
    clinic,
    people,
    raters: raters ? ratersOf(records, people, secret) : null,
    unit,
    k,
    withheld: new Set(longitudinal.withheld),
  }
  const { tables, figures } = tablesOf(records, asOf, input, onStep)
  onStep('making the CSV files')
  const csv = tables.map((t) => ({ name: `${t.definition.name}.csv`, content: csvOf(t) }))
  onStep('making the Parquet files')
  const parquet = tables.map((t) => ({ name: `${t.definition.name}.parquet`, content: parquetOf(t) }))
  const risk = riskReport({
    asked: { k, l, maxUnique },
    inRecords: records.clients.length,
    consenting: consenting.length,
    hierarchies: used,
    generalisation: found,
    people,
    longitudinal,
    raters,
    fidelity: figures,
    intersection: options.previous
      ? intersectionRisk(options.previous, releasedPeople(csv[0]!.content, csv[1]!.content), k)
      : null,
  })
  const files: ReleaseFile[] = [
    ...csv,
    ...parquet,
    { name: 'codebook.md', content: codebook(tables, preface(unit)) },
    { name: 'datapackage.json', content: jsonOf(dataPackage(tables, csv, STATEMENT)) },
    { name: 'risk-report.json', content: jsonOf(risk) },
  ]
  onStep('searching for identifiers')
  const leaksOf = leakScanner(
    tables.map((t) => t.definition),
    identifiersOf(records, secret, options.sourceFiles),
  )
  const check = (more: readonly ReleaseFile[]): void => refuseLeaks(leaksOf(more))
  check(files)
  return { tables, files, risk, check }
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`
