import type { Client, Day } from '../../records/index.ts'
import {
  BLANK,
  type Encode,
  type FieldView,
  fieldView,
  guideWords,
  noValueMarks,
  problemCode,
  ruleOf,
} from '../fieldView.ts'
import type { DateField, Field } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import {
  plainWord,
  type Reading,
  readCautions,
  readConsent,
  readDischargeReason,
  readGestation,
  readSex,
} from '../interpret/index.ts'
import { dateView, encoder } from './encoders.ts'
import type { Reckoning, TableJob } from './job.ts'

/** A client row that may stand, with where it came from. */
export interface ClientCandidate {
  readonly client: Client
  readonly job: TableJob
  readonly row: number
}

/** One field of a client: its value, null where blank or emptied (which is noted). */
type Take = <T>(row: number, field: Field, view: ValueView<T>) => T | null

interface ValueView<T> extends FieldView {
  readonly values: readonly T[]
}

/** The client rows of one table. Only the id is a must; any other field that cannot be read is emptied. */
export function readClients(job: TableJob, { asOf, log }: Reckoning): ClientCandidate[] {
  const { table, plan } = job
  const field = <T>(
    name: Field,
    interpret: (text: string) => Reading<T>,
    key?: (value: T) => unknown,
  ): ValueView<T> => {
    const interner = new Interner<T>([], key)
    return { ...fieldView(table, plan, name, encoder(interner, interpret)), values: interner.values }
  }
  const text = (name: Field): ValueView<string> => field(name, (value) => ({ value }))
  const day = (name: Field & DateField): ValueView<Day> => {
    const view = dateView(table, plan, name, asOf)
    const days: Day[] = []
    return {
      ...view,
      // Readings are only ever added, and this is asked for at every row.
      get values() {
        const { values } = view.readings
        while (days.length < values.length) days.push(values[days.length]!.day)
        return days
      },
    }
  }
  const id = text('client_id')
  const birth = day('birth_date')
  const gestation = field('gestation_weeks', readGestation)
  const sex = field('sex', readSex)
  const site = text('site')
  const clinician = text('clinician')
  const group = text('group')
  const enrolled = day('enrolled_on')
  const discharged = day('discharged_on')
  const reason = field('discharge_reason', readDischargeReason)
  const cautions = cautionsView(job)
  const consent = field('research_consent', readConsent)

  const take: Take = (row, name, view) => {
    const code = view.at(row)
    if (code >= 0) return view.values[code] as NonNullable<(typeof view.values)[number]>
    if (code !== BLANK) log.add(job, row, name, view.text(row), ruleOf(code), 'emptied')
    return null
  }
  const found: ClientCandidate[] = []
  for (let row = 0; row < table.length; row++) {
    const ragged = table.ragged.get(row)
    if (ragged !== undefined) {
      log.reject(job, row, '', ragged, 'ragged_row')
      continue
    }
    const client_id = take(row, 'client_id', id)
    if (client_id === null) {
      log.reject(job, row, 'client_id', id.text(row), 'missing_value')
      continue
    }
    const birth_date = take(row, 'birth_date', birth)
    const since = (name: Field, view: ValueView<Day>): Day | null => {
      const value = take(row, name, view)
      if (value === null || birth_date === null || value >= birth_date) return value
      log.add(job, row, name, view.text(row), 'date_before_birth', 'emptied')
      return null
    }
    const client: Client = {
      client_id,
      birth_date,
      gestation_weeks: take(row, 'gestation_weeks', gestation),
      sex: take(row, 'sex', sex),
      site: take(row, 'site', site),
      clinician: take(row, 'clinician', clinician),
      group: take(row, 'group', group),
      enrolled_on: since('enrolled_on', enrolled),
      discharged_on: since('discharged_on', discharged),
      discharge_reason: take(row, 'discharge_reason', reason),
      cautions: take(row, 'cautions', cautions) ?? [],
      research_consent: take(row, 'research_consent', consent),
    }
    found.push({ client, job, row })
  }
  return found
}

/** Cautions have their own way with the guide's words: a cell may join several. */
function cautionsView(job: TableJob): ValueView<readonly Client['cautions'][number][]> {
  const { rules } = job.plan
  const interner = new Interner<readonly Client['cautions'][number][]>([], (value) => value.join(';'))
  const marks = noValueMarks(rules, 'cautions')
  const options = {
    words: guideWords(rules, 'cautions'),
    ...(rules.cautions_joined_by === undefined ? {} : { joinedBy: rules.cautions_joined_by }),
  }
  const encode: Encode = (text) => {
    if (marks.has(plainWord(text))) return BLANK
    const reading = readCautions(text, options)
    return 'value' in reading ? interner.codeOf(reading.value) : problemCode(reading.rule)
  }
  const plain = { ...job.plan, rules: { ...rules, words: { ...rules.words, cautions: {} } } }
  return { ...fieldView(job.table, plain, 'cautions', encode), values: interner.values }
}

/** What stands where the client would in a row that adds up others. */
const TOTALS: ReadonlySet<string> = new Set(
  `total totals sum subtotal sub-total subtotals summe gesamt gesamtsumme zwischensumme somme totaal totale suma`
    .split(' ')
    .concat('grand total', 'overall total', 'sub total', 'total général', 'sous-total'),
)

const SEVERAL = /\s*(?:[;&]|,(?=\s|\D)|\s[+/]\s|\s(?:and|und|et|y|en)\s)\s*/i

/** `SM-4; SM-5`, `SM-4 and SM-5`: codes of one pattern, which are no client's by themselves. */
function namesSeveral(id: string): boolean {
  const parts = id.split(SEVERAL)
  const pattern = (code: string): string => code.replace(/\d+/g, '0').replace(/\p{L}+/gu, 'a')
  const first = pattern(parts[0] as string)
  return parts.length > 1 && first.includes('0') && parts.every((part) => pattern(part) === first)
}

/** The ids a record may name, numbered; and when each client was born. */
export class ClientList {
  /** Day of birth by client number; null where it is not known. */
  readonly births: (Day | null)[] = []
  readonly ids = new Interner<string>()
  private readonly open: boolean

  /** @param clients the rows that stand; null where no clients file was given: then every id seen is a client */
  constructor(clients: readonly Client[] | null) {
    this.open = clients === null
    for (const { client_id, birth_date } of clients ?? [])
      this.births[this.ids.codeOf(client_id)] = birth_date
  }

  /**
   * A client's number; ids match letter for letter. Where no list of clients says otherwise, a totals row has none, and
   * the heading, said once more between the rows, is nobody's, nor are several ids in one cell.
   */
  codeOf(id: string, heading?: string): number {
    if (this.open && heading !== undefined && plainWord(id) === plainWord(heading))
      return problemCode('unknown_client')
    if (this.open && namesSeveral(id)) return problemCode('unknown_client')
    if (this.open && TOTALS.has(plainWord(id).replace(/[\s:.]+$/, ''))) return BLANK
    return (this.open ? this.ids.codeOf(id) : this.ids.known(id)) ?? problemCode('unknown_client')
  }
}
