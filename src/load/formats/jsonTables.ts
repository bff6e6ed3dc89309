import type { RawTable } from '../raw.ts'
import { type FhirOptions, FhirTables, isFhirResource } from './fhir.ts'
import { innerEntries } from './jsonInner.ts'
import { flatten, type JsonObject } from './jsonRecord.ts'
import { LineNumbers } from './lineNumbers.ts'
import { RAGGED_TEXT_LENGTH, TableBuilder } from './tableBuilder.ts'

/** Records, or characters, after which it is decided whether a file holds FHIR resources. */
const RECORDS_THAT_TELL = 20
const TEXT_THAT_TELLS = 1_000_000

export interface JsonOptions extends FhirOptions {
  /** Keys from a record of the file to the lists within it whose entries are the records instead. */
  readonly entries?: readonly string[]
}

/** Takes the records of one JSON list, or of one NDJSON file, in order, and makes tables of them. */
export class JsonTables {
  private readonly file: string
  private readonly options: JsonOptions
  private readonly lines = new LineNumbers()
  private plain: TableBuilder | null = null
  private fhir: FhirTables | null = null
  /** The first records, until enough are seen to tell what the file holds: one damaged line must not decide it. */
  private early: { readonly object: JsonObject | null; readonly text: string }[] | null = []
  private earlyLength = 0
  private records = 0
  private notUtf8 = 0
  private firstNotUtf8 = 0

  constructor(file: string, options: JsonOptions = {}) {
    this.file = file
    this.options = options
  }

  get length(): number {
    return this.records
  }

  /** @param object the record, or null where its `text` is not whole JSON */
  add(object: JsonObject | null, text: string, line: number): void {
    const { entries } = this.options
    if (object === null || entries === undefined) this.addOne(object, text, line)
    else for (const entry of innerEntries(object, entries)) this.addOne(entry, text, line)
  }

  private addOne(object: JsonObject | null, text: string, line: number): void {
    this.records++
    this.lines.push(line)
    if (this.early === null) {
      this.put(object, text, this.records - 1)
      return
    }
    this.early.push({ object, text: text.slice(0, RAGGED_TEXT_LENGTH) })
    this.earlyLength += text.length
    if (this.early.length >= RECORDS_THAT_TELL || this.earlyLength >= TEXT_THAT_TELLS) this.decide()
  }

  /** Notes that a record was not UTF-8 and was read as Windows-1252. */
  noteNotUtf8(): void {
    if (this.notUtf8++ === 0) this.firstNotUtf8 = this.records
  }

  finish(constants: ReadonlyMap<string, string> = new Map(), remarks: readonly string[] = []): RawTable[] {
    if (this.early !== null) this.decide()
    const all = [...remarks]
    if (this.notUtf8 > 0)
      all.push(
        `${this.notUtf8} records are not UTF-8 and were read as Windows-1252; the first is record ${this.firstNotUtf8}.`,
      )
    if (this.fhir !== null) {
      const tables = this.fhir.finish(this.lines.at)
      return tables.map((table, i) => (i === 0 ? { ...table, remarks: [...table.remarks, ...all] } : table))
    }
    const table = this.plain as TableBuilder
    for (const [heading, text] of constants)
      if (!table.setEverywhere(heading, text))
        all.push(
          `"${heading}" stands both around the list and in its entries; only that of the entries is read.`,
        )
    return [table.finish({ lineOf: this.lines.at, remarks: all })]
  }

  /** FHIR, where most of the whole records are resources. */
  private decide(): void {
    const early = this.early ?? []
    this.early = null
    const whole = early.flatMap(({ object }) => (object === null ? [] : [object]))
    const resources = whole.filter((object) => resourceOf(object) !== null).length
    if (resources * 2 > whole.length) this.fhir = new FhirTables(this.file, this.options)
    else this.plain = new TableBuilder(this.file)
    early.forEach(({ object, text }, record) => {
      this.put(object, text, record)
    })
  }

  private put(object: JsonObject | null, text: string, record: number): void {
    if (this.fhir !== null) {
      const entry = object === null ? null : resourceOf(object)
      const added = entry !== null && this.fhir.add(entry.resource, record, entry.fullUrl)
      if (!added) this.fhir.addRagged(text, record)
      return
    }
    const table = this.plain as TableBuilder
    table.begin()
    if (object === null || !flatten(object, '', (path, value) => table.set(path, value)))
      table.setRagged(text)
  }
}

/** The FHIR resource of a record: the record itself, or what an entry of a Bundle holds. */
function resourceOf(object: JsonObject): { readonly resource: JsonObject; readonly fullUrl: string } | null {
  if (isFhirResource(object)) return { resource: object, fullUrl: '' }
  const { resource, fullUrl } = object
  if (typeof resource !== 'object' || resource === null || Array.isArray(resource)) return null
  if (!isFhirResource(resource as JsonObject)) return null
  return { resource: resource as JsonObject, fullUrl: typeof fullUrl === 'string' ? fullUrl : '' }
}
