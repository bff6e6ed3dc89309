import { UserError } from '../errors.ts'
import type { Day, Records } from '../records/index.ts'
import { clinicView } from './clinic-view.ts'
import { codebook, dataPackage } from './data-package.ts'
import { fidelity } from './fidelity.ts'
import type { ReleasedTable } from './fields.ts'
import { csvOf, parquetOf, type ReleaseFile } from './files.ts'
import { type Generalisation, generalise } from './generalise.ts'
import { checkHierarchy, type Hierarchy, type HierarchySettings, hierarchies } from './hierarchy.ts'
import { identifiersOf } from './identifiers.ts'
import { intersectionRisk, type ReleasedPerson, releasedPeople } from './intersection.ts'
import { leakScanner, refuseLeaks } from './leak-scan.ts'
import { coarsen } from './longitudinal.ts'
import type { Unreachable } from './nearest.ts'
import { consentingPeople, type Person } from './people.ts'
import { pseudonyms } from './pseudonyms.ts'
import { type RiskReport, riskReport, STATEMENT } from './risk-report.ts'
import type { Sequence } from './sequence.ts'
import { buildTables, type ReleasedRow } from './tables.ts'
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
  /** People of an earlier release, to say what the two give away together. */
  readonly previous?: readonly ReleasedPerson[]
  /** Names of the files that were read, which must not leave. */
  readonly sourceFiles?: readonly string[]
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

function unreachable(
  { bestK, bestL, suppressedNeeded }: Unreachable,
  k: number,
  l: number,
  people: number,
): UserError {
  const reachable = [
    bestK > 0 ? `k = ${bestK} with l = ${l}` : `no k with l = ${l}`,
    bestL > 0 ? `l = ${bestL} with k = ${k}` : `no l with k = ${k}`,
  ]
  return new UserError(
    `These tables cannot be released with k = ${k} and l = ${l}: ${people} consenting people are too few or too alike. ` +
      `The nearest that can be reached: ${reachable.join(', or ')}; ` +
      `as asked, at least ${Math.ceil(suppressedNeeded * 100)} % would have to be left out. Lower --k or --l, or ask more people for consent.`,
  )
}

function generalised(
  people: readonly Person[],
  used: readonly Hierarchy[],
  k: number,
  l: number,
  maxSuppressed: number,
): Generalisation {
  used.forEach((h, c) => {
    const fault = checkHierarchy(h, [...new Set(people.map((p) => p.subject.finest[c]!))])
    if (fault) throw new UserError(fault)
  })
  const found = generalise(
    people.map((p) => p.subject),
    used,
    { k, l, maxSuppressed },
  )
  if ('reachable' in found) throw unreachable(found, k, l, people.length)
  return found
}

const preface = (unit: TimeUnit): string =>
  `${STATEMENT}\n\nDates are counts of whole units of time (${unit}) from each person's own start. Empty is not known or withheld; \`*\` is withheld. Codes are those of the clinic's normalised records. CSV cells that begin with =, +, -, @, tab or a line break carry an apostrophe in front; Parquet files hold them as they are.`

function sequencesOf(people: readonly ReleasedRow[]): Sequence[] {
  return people.map(({ person, pseudonym, released }) => ({
    person: pseudonym,
    personClass: JSON.stringify(released),
    days: [...new Set(person.series.flatMap((s) => s.occasions.map((o) => o.day - (person.start ?? o.day))))],
    reflexes: person.series.map((s) => s.reflex),
    monthsFollowed: person.monthsFollowed,
  }))
}

/** The people who leave, sorted by pseudonym: the order says nothing of the clinic's own. */
function releasedRows(
  consenting: readonly Person[],
  values: Generalisation['values'],
  secret: Uint8Array,
): ReleasedRow[] {
  const ids = consenting.map((p) => p.client.client_id)
  const names = pseudonyms(secret, 'person', ids)
  return consenting
    .flatMap((person, i) => {
      const released = values[i]
      return released ? [{ person, pseudonym: names.get(person.client.client_id)!, released }] : []
    })
    .sort((a, b) => (a.pseudonym < b.pseudonym ? -1 : 1))
}

function ratersOf(people: readonly ReleasedRow[], secret: Uint8Array): ReadonlyMap<string, string> {
  const ids = new Set<string>()
  for (const { person } of people)
    for (const s of person.series) for (const { rater } of s.scores) if (rater !== null) ids.add(rater)
  return pseudonyms(secret, 'rater', ids)
}

/**
 * The anonymised tables of the clients who consented, and their measured risk. Pure: nothing is read or written.
 *
 * @throws UserError where k and l cannot be reached (with the nearest that can), a hierarchy is wrong, or an identifier
 *   would leave
 */
export function makeRelease(records: Records, options: ReleaseOptions): Release {
  const { asOf, secret, k = 5, l = 2, maxSuppressed = 0.05, maxUnique = 0.05, finest = 'week' } = options
  const used = hierarchies(options.hierarchies)
  const clinic = clinicView(records, asOf)
  const consenting = consentingPeople(clinic)
  if (consenting.length === 0)
    throw new UserError('No client has research_consent "yes", so there is nothing to release.')
  const found = generalised(consenting, used, k, l, maxSuppressed)
  const people = releasedRows(consenting, found.values, secret)
  const longitudinal = coarsen(sequencesOf(people), { finest, maxUnique })
  const { unit } = longitudinal
  const tables = buildTables({
    clinic,
    people,
    raters: ratersOf(people, secret),
    unit,
    withheld: new Set(longitudinal.withheld),
  })
  const csv = tables.map((t) => ({ name: `${t.definition.name}.csv`, content: csvOf(t) }))
  const risk = riskReport({
    asked: { k, l, maxUnique },
    inRecords: records.clients.length,
    consenting: consenting.length,
    hierarchies: used,
    generalisation: found,
    people,
    longitudinal,
    fidelity: fidelity(clinic, tables),
    intersection: options.previous
      ? intersectionRisk(options.previous, releasedPeople(csv[0]!.content, csv[1]!.content), k)
      : null,
  })
  const files: ReleaseFile[] = [
    ...csv,
    ...tables.map((t) => ({ name: `${t.definition.name}.parquet`, content: parquetOf(t) })),
    { name: 'codebook.md', content: codebook(tables, preface(unit)) },
    { name: 'datapackage.json', content: jsonOf(dataPackage(tables, csv, STATEMENT)) },
    { name: 'risk-report.json', content: jsonOf(risk) },
  ]
  const leaksOf = leakScanner(
    tables.map((t) => t.definition),
    identifiersOf(records, secret, options.sourceFiles),
  )
  const check = (more: readonly ReleaseFile[]): void => refuseLeaks(leaksOf(more))
  check(files)
  return { tables, files, risk, check }
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`
