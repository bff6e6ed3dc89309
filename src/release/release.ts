import { UserError } from '../errors.ts'
import { type Day, type Records, recordsWhere } from '../records/index.ts'
import { disclosureRisk } from '../statistics/index.ts'
import { type FidelityFigure, fidelity } from './fidelity.ts'
import type { ReleasedTable } from './fields.ts'
import { codebook, csvOf, dataPackage, parquetOf, type ReleaseFile } from './files.ts'
import { type Generalisation, generalise, type Unreachable } from './generalise.ts'
import { checkHierarchy, type Hierarchy, type HierarchySettings, hierarchies } from './hierarchy.ts'
import { type IntersectionRisk, intersectionRisk, type ReleasedPerson } from './intersection.ts'
import { dateSpellings, type Identifier, type Leak, scanForLeaks } from './leak-scan.ts'
import { type Coarsening, coarsen, type Sequence, type TimeUnit } from './longitudinal.ts'
import { consentingPeople, type Person } from './people.ts'
import { pseudonyms } from './pseudonyms.ts'
import { buildTables } from './tables.ts'

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
}

/** What a data-protection officer reads. */
export interface RiskReport {
  readonly k: { readonly asked: number; readonly reached: number }
  readonly l: { readonly asked: number; readonly reached: number }
  readonly people: {
    readonly inRecords: number
    readonly consenting: number
    readonly released: number
    readonly suppressed: number
    readonly shareSuppressed: number
  }
  readonly prosecutorRisk: { readonly max: number; readonly mean: number }
  readonly sampleUniques: number
  readonly tCloseness: number
  readonly columns: readonly { readonly column: string; readonly level: string; readonly loss: number }[]
  readonly loss: number
  readonly lattice: { readonly nodes: number; readonly counted: number }
  readonly longitudinal: Omit<Coarsening, 'withheld'> & {
    readonly maxUnique: number
    readonly withheld: number
  }
  readonly fidelity: readonly FidelityFigure[]
  readonly intersection: IntersectionRisk | null
  readonly statement: string
}

export interface Release {
  readonly tables: readonly ReleasedTable[]
  readonly files: readonly ReleaseFile[]
  readonly risk: RiskReport
}

export const STATEMENT =
  'Anonymity is a matter of degree. These tables were coarsened and measured as the risk report says; whether they may leave the clinic is for local data-protection law and ethics approval to decide. No claim of Safe Harbor is made.'

function unreachable(
  { bestK, bestL, suppressedNeeded }: Unreachable,
  k: number,
  l: number,
  people: number,
): UserError {
  return new UserError(
    `These tables cannot be released with k = ${k} and l = ${l}: ${people} consenting people are too few or too alike. ` +
      `The nearest that can be reached: k = ${bestK} with l = ${l}, or l = ${bestL} with k = ${k}; ` +
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

/** Everything of the clinic's that must not leave, and what it is. Of notes, only those that are more than common words. */
export function identifiersOf(records: Records, secret: Uint8Array): Identifier[] {
  const out: Identifier[] = []
  for (const c of records.clients) {
    out.push({ what: 'a client id', text: c.client_id })
    if (c.birth_date !== null)
      for (const text of dateSpellings(c.birth_date)) out.push({ what: 'a birth date', text })
    if (c.clinician !== null) out.push({ what: 'a clinician', text: c.clinician })
  }
  for (const id of new Set(records.assessments.map((a) => a.rater_id)))
    if (id !== null) out.push({ what: 'a rater', text: id })
  const notes = new Set<string>()
  for (let i = 0; i < records.sessions.length; i++) {
    const note = records.sessions.note(i)
    if (note !== null) notes.add(note)
  }
  for (const text of notes)
    if (text.trim().split(/\s+/).length >= 3) out.push({ what: 'the text of a note', text })
  for (const encoding of ['hex', 'base64', 'base64url'] as const)
    out.push({ what: 'the secret', text: Buffer.from(secret).toString(encoding) })
  return out
}

function leakError(leaks: readonly Leak[]): UserError {
  const shown = leaks
    .slice(0, 5)
    .map(
      (l) =>
        `  ${l.file}${l.row > 0 ? `, row ${l.row}` : ''}${l.column ? `, column ${l.column}` : ''}: ${l.what}`,
    )
  return new UserError(
    `Nothing was written: the release would give away ${leaks.length === 1 ? 'an identifier' : `${leaks.length} identifiers`}.\n${shown.join('\n')}\nMost often a client's code or a name stands in the group or site of the clients table. Mend it there, or merge the word in the hierarchies file.`,
  )
}

const preface = (unit: TimeUnit): string =>
  `${STATEMENT}\n\nDates are counts of whole units of time (${unit}) from each person's own start. Empty is not known or withheld; \`*\` is withheld. Codes are those of the clinic's normalised records. CSV cells that begin with =, +, -, @, tab or carriage return carry an apostrophe in front.`

function sequencesOf(
  people: readonly {
    readonly person: Person
    readonly pseudonym: string
    readonly released: readonly string[]
  }[],
): Sequence[] {
  return people.map(({ person, pseudonym, released }) => ({
    person: pseudonym,
    personClass: JSON.stringify(released),
    days: [...new Set(person.series.flatMap((s) => s.occasions.map((o) => o.day - (person.start ?? o.day))))],
    reflexes: person.series.map((s) => s.reflex),
  }))
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
  const consenting = consentingPeople(records, { asOf })
  if (consenting.length === 0)
    throw new UserError('No client has research_consent "yes", so there is nothing to release.')
  const found = generalised(consenting, used, k, l, maxSuppressed)
  const names = pseudonyms(
    secret,
    'person',
    consenting.map((p) => p.client.client_id),
  )
  const people = consenting.flatMap((person, i) => {
    const released = found.values[i]
    return released ? [{ person, pseudonym: names.get(person.client.client_id)!, released }] : []
  })
  const ids = new Set(people.map((p) => p.person.client.client_id))
  const kept = recordsWhere(records, (c) => ids.has(c.client_id))
  const raters = pseudonyms(
    secret,
    'rater',
    kept.assessments.map((a) => a.rater_id).filter((id) => id !== null),
  )
  const longitudinal = coarsen(sequencesOf(people), { finest, maxUnique })
  const tables = buildTables({
    records: kept,
    asOf,
    people,
    raters,
    unit: longitudinal.unit,
    withheld: new Set(longitudinal.withheld),
  })
  const measured = disclosureRisk(
    people.map((p) => p.released),
    people.map((p) => p.person.subject.sensitive),
  )
  const risk: RiskReport = {
    k: { asked: k, reached: measured.k },
    l: { asked: l, reached: measured.lDistinct },
    people: {
      inRecords: records.clients.length,
      consenting: consenting.length,
      released: people.length,
      suppressed: found.suppressed,
      shareSuppressed: found.suppressed / consenting.length,
    },
    prosecutorRisk: { max: measured.prosecutorRiskMax, mean: measured.prosecutorRiskMean },
    sampleUniques: measured.sampleUniques,
    tCloseness: measured.tCloseness,
    columns: used.map((h, c) => ({
      column: h.column,
      level: h.levels[found.levels[c]!]!.name,
      loss: found.lossByColumn[c]!,
    })),
    loss: found.loss,
    lattice: { nodes: found.nodes, counted: found.counted },
    longitudinal: { ...longitudinal, withheld: longitudinal.withheld.length, maxUnique },
    fidelity: fidelity(records, kept, asOf),
    intersection:
      options.previous === undefined
        ? null
        : intersectionRisk(
            options.previous,
            people.map((p) => ({ person: p.pseudonym, values: p.released })),
            k,
          ),
    statement: STATEMENT,
  }
  const files = filesOf(tables, risk, longitudinal.unit)
  const leaks = scanForLeaks(
    tables.map((t) => ({
      file: `${t.definition.name}.csv`,
      columns: t.definition.fields.map((f) => f.name),
      rows: t.rows,
    })),
    files
      .filter((f) => typeof f.content === 'string' && !f.name.endsWith('.csv'))
      .map((f) => ({ file: f.name, text: String(f.content) })),
    identifiersOf(records, secret),
  )
  if (leaks.length > 0) throw leakError(leaks)
  return { tables, files, risk }
}

function filesOf(tables: readonly ReleasedTable[], risk: RiskReport, unit: TimeUnit): ReleaseFile[] {
  const csv = tables.map((t) => ({ name: `${t.definition.name}.csv`, content: csvOf(t) }))
  const parquet = tables.map((t) => ({ name: `${t.definition.name}.parquet`, content: parquetOf(t) }))
  return [
    ...csv,
    ...parquet,
    { name: 'codebook.md', content: codebook(tables, preface(unit)) },
    {
      name: 'datapackage.json',
      content: `${JSON.stringify(dataPackage(tables, csv, STATEMENT), null, 2)}\n`,
    },
    { name: 'risk-report.json', content: `${JSON.stringify(risk, null, 2)}\n` },
  ]
}

/** The people of a release that was made earlier, from its people.csv, as {@link ReleaseOptions.previous} takes them. */
export function releasedPeople(csv: string): ReleasedPerson[] {
  const [, ...lines] = csv.split('\n').filter((line) => line !== '')
  return lines.map((line) => {
    const [person, ...cells] = [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map((m) =>
      m[1]!.replace(/^"(.*)"$/s, '$1').replaceAll('""', '"'),
    )
    return { person: person!, values: cells.slice(0, 4) }
  })
}
