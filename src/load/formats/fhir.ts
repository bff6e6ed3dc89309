import { valueAt } from '../../records/index.ts'
import type { RawColumn, RawTable } from '../raw.ts'
import {
  type ComponentSubject,
  componentSubject,
  dateOf,
  isObject,
  listOf,
  performersOf,
  reflexOf,
  scoreText,
  sideOf,
  subjectOf,
  textOf,
} from './fhirElements.ts'
import { R4_RESOURCES } from './fhirResources.ts'
import type { JsonObject } from './jsonRecord.ts'
import { TableBuilder } from './tableBuilder.ts'

const CLIENT_HEADINGS = ['client_id', 'birth_date', 'sex']
/** The rest of a moment after its date, while it is read: `T10:20:30+01:00`. */
const REST_OF_MOMENT = 'rest of assessed_on'
const ASSESSMENT_HEADINGS = ['client_id', 'assessed_on', 'reflex', 'side', 'score', 'rater_id']

export interface FhirOptions {
  /** Which of a Patient's identifiers is the clinic's code, by its `system`; needed only where a Patient has several. */
  readonly identifierSystem?: string
}

export const isFhirResource = (object: JsonObject): boolean => typeof object.resourceType === 'string'

/**
 * Turns FHIR R4 resources into tables under our own headings: Patients into clients, Observations into assessments.
 * Each resource is one record under the numbering of its file; an Observation with components gives a row for each.
 * Other resources, and Observations entered in error, are no records: the remarks count them.
 */
export class FhirTables {
  private readonly options: FhirOptions
  private readonly clients: TableBuilder
  private readonly assessments: TableBuilder
  private readonly patients = new Map<string, string>()
  private readonly unused = new Map<string, number>()
  private readonly severalIdentifiers: number[] = []

  constructor(file: string, options: FhirOptions = {}) {
    this.options = options
    this.clients = new TableBuilder(file, CLIENT_HEADINGS)
    this.assessments = new TableBuilder(file, ASSESSMENT_HEADINGS)
  }

  /**
   * @param fullUrl the address a Bundle gives the resource, by which others may refer to it
   * @returns false, and nothing is added, where the resource is of no type that R4 has, or a Bundle of its own
   */
  add(resource: JsonObject, record: number, fullUrl = ''): boolean {
    const type = String(resource.resourceType)
    // A Bundle within a list or a line holds records that nothing here counts: it is told, not passed over.
    if (!R4_RESOURCES.has(type) || type === 'Bundle') return false
    if (type === 'Patient') this.addPatient(resource, record, fullUrl)
    else if (type !== 'Observation') this.leaveOut(type)
    else if (resource.status === 'entered-in-error') this.leaveOut('Observation entered in error')
    // hl7.org/fhir/R4/valueset-observation-status: the measurement was not started or not completed.
    else if (resource.status === 'cancelled') this.leaveOut('Observation that was cancelled')
    else this.addObservation(resource, record)
    return true
  }

  addRagged(text: string, record: number): void {
    this.assessments.begin(record)
    this.assessments.setRagged(text)
  }

  finish(lineOf: ((record: number) => number) | null): RawTable[] {
    const made: RawTable[] = []
    for (const [builder, holds] of [
      [this.clients, 'clients'],
      [this.assessments, 'assessments'],
    ] as const) {
      if (builder.length === 0) continue
      const table = withWholeMoments(
        builder.finish({ holds, ...(holds === 'clients' ? { references: this.patients } : {}) }),
      )
      const recordOf = table.recordOf as ArrayLike<number>
      made.push(lineOf === null ? table : { ...table, lineOf: (row) => lineOf(recordOf[row] as number) })
    }
    const first = made[0] ?? withWholeMoments(this.assessments.finish({ holds: 'assessments' }))
    return [{ ...first, remarks: [...this.remarks(), ...first.remarks] }, ...made.slice(1)]
  }

  private leaveOut(what: string): void {
    this.unused.set(what, (this.unused.get(what) ?? 0) + 1)
  }

  private remarks(): string[] {
    const counts = [...this.unused].map(([what, count]) => `${count} ${what}`)
    return [
      'FHIR: Patients are read as clients, Observations as assessments.',
      ...(counts.length > 0 ? [`Not used, and counted as no records: ${counts.join(', ')}.`] : []),
      ...this.severalIdentifiers
        .slice(0, 3)
        .map(
          (record) =>
            `Record ${record + 1}: the Patient has several identifiers; say in the guide which is the clinic's code, by identifier_system.`,
        ),
    ]
  }

  private addPatient(patient: JsonObject, record: number, fullUrl: string): void {
    const code = this.codeOf(patient, record)
    this.clients.begin(record)
    this.clients.set('client_id', code)
    this.clients.set('birth_date', textOf(patient.birthDate))
    this.clients.set('sex', textOf(patient.gender))
    if (code === '') return
    if (typeof patient.id === 'string') this.patients.set(`Patient/${patient.id}`, code)
    if (fullUrl !== '') this.patients.set(fullUrl, code)
  }

  private codeOf(patient: JsonObject, record: number): string {
    const all = listOf(patient.identifier).filter(isObject)
    const { identifierSystem } = this.options
    const wanted =
      identifierSystem === undefined ? all : all.filter(({ system }) => system === identifierSystem)
    const codes = new Set(wanted.map(({ value }) => textOf(value)).filter((code) => code !== ''))
    if (codes.size > 1) this.severalIdentifiers.push(record)
    return codes.size === 1 ? ([...codes][0] as string) : ''
  }

  private addObservation(observation: JsonObject, record: number): void {
    const components = listOf(observation.component).filter(isObject)
    if (components.length === 0) {
      this.addScore(
        observation,
        { side: sideOf(observation.bodySite), reflex: null },
        scoreText(observation),
        record,
      )
      return
    }
    if (scoreText(observation) !== '')
      this.addScore(
        observation,
        { side: sideOf(observation.bodySite), reflex: null },
        scoreText(observation),
        record,
      )
    for (const component of components) {
      const subject = componentSubject(component.code, observation.bodySite)
      this.addScore(observation, subject, scoreText(component), record)
    }
  }

  private addScore(
    observation: JsonObject,
    { side, reflex }: ComponentSubject,
    score: string,
    record: number,
  ): void {
    const table = this.assessments
    table.begin(record)
    table.set('client_id', subjectOf(observation.subject, observation.contained))
    const moment = dateOf(observation)
    table.set('assessed_on', moment.slice(0, DATE_LENGTH))
    table.set(REST_OF_MOMENT, moment.slice(DATE_LENGTH))
    const modifier = modifierOf(observation)
    table.set('reflex', (reflex ?? reflexOf(observation.code)) + modifier)
    table.set('side', side)
    table.set('score', score)
    table.set('rater_id', performersOf(observation.performer, observation.contained))
  }
}

/**
 * What a modifierExtension says can turn a score into its opposite, and whoever does not understand it must not use the
 * resource (hl7.org/fhir/R4/extensibility.html#modifierExtension): the name of the reflex is then no longer one.
 */
function modifierOf(observation: JsonObject): string {
  const all = [observation, ...listOf(observation.component).filter(isObject)]
  const found = all.flatMap(({ modifierExtension }) => listOf(modifierExtension).filter(isObject))
  return found.length === 0
    ? ''
    : `, with modifierExtension ${found.map(({ url }) => textOf(url)).join(', ')}`
}

const DATE_LENGTH = '2026-03-14'.length

/**
 * Puts each moment together again from its date and the rest. Apart they have a few thousand different texts each; as
 * whole moments nearly every Observation has its own, and memory would grow with the file.
 */
function withWholeMoments(table: RawTable): RawTable {
  const at = table.headings.indexOf('assessed_on')
  const rest = table.headings.indexOf(REST_OF_MOMENT)
  if (rest < 0) return table
  const [date, after] = [table.columns[at], table.columns[rest]]
  if (date === undefined || after === undefined || 'text' in date || 'text' in after) return table
  const columns: RawColumn[] = [...table.columns]
  if (after.values.length > 1) columns[at] = { text: (row) => valueAt(date, row) + valueAt(after, row) }
  const isOther = (_: unknown, i: number): boolean => i !== rest
  return { ...table, headings: table.headings.filter(isOther), columns: columns.filter(isOther) }
}
