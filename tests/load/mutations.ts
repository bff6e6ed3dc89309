import { zipSync } from 'fflate'
import { UserError } from '../../src/errors.ts'
import type { Accounted } from '../../src/load/account.ts'
import type { ReadingGuide } from '../../src/load/guide/guide.ts'
import { loadBytes } from './layout.ts'
import { mangled, numbers } from './randomDamage.ts'

const utf8 = (text: string): Uint8Array => Buffer.from(text, 'utf8')

const CLIENTS = `Client ID,Date of birth,Gestation (weeks),Sex,Cautions,Research consent
SM-1,2020-01-01,38,F,skin; shunt,yes
SM-2,2021-02-02,,male,,no
`
const SCORES = `Client ID;Assessment date;Reflex;Side;Score;Rater\r
SM-1;24.12.2025;Moro;;2;A.V.\r
SM-2;25.12.2025;Galant;both;2/4;"A; V"\r
SM-1;24.12.2025;Moro;;3;A.V.\r
`
const LOG = `Record ID,Client ID,Date,Time,Target,Side,Reps,Seconds,Reaction,Note
R1,SM-1,2026-03-01,07:43,Moro,,5,90 s,none,"two
lines, ""quoted"""
R2,SM-2,2026-03-02,7:43 pm,ATNR,L,ten,1:30,seizure,\ufefftext
R3,SM-2,2026-03-02,,ATNR,both,6,,,é€
`
const DIARY = `Family|Day|Palm L|Palm R mins|Comment
SM-1|01/04/2026|x|1.5|sang
SM-2|13/04/2026|no|lots|
`
const NDJSON = `{"uid":"a","client":{"code":"SM-1"},"when":{"started":"2026-04-01T08:00:00+10:00"},"exercise":{"for":"Moro"},"dose":{"reps":5}}
{"uid":"b","code":"SM-2","started":"2026-04-02","for":"Galant","side":"right","reps":"6"}
`
const FHIR = `{"resourceType":"Bundle","entry":[
{"resource":{"resourceType":"Patient","id":"p1","identifier":[{"value":"SM-9"}],"gender":"female","birthDate":"2020-01-01"}},
{"resource":{"resourceType":"Observation","id":"o1","subject":{"reference":"Patient/p1"},"effectiveDateTime":"2026-01-01","code":{"text":"Moro"},"valueInteger":2}}]}`

/** Small files of every text form, whole as they stand here. */
export const WHOLE: Readonly<Record<string, Uint8Array>> = {
  'clients.csv': utf8(CLIENTS),
  'scores.csv': utf8(SCORES),
  'log.csv': utf8(LOG),
  'log-wide.txt': Buffer.from(`\ufeff${LOG.replaceAll(',', '\t')}`, 'utf16le'),
  'diary.csv': utf8(DIARY),
  'app.ndjson': utf8(NDJSON),
  'fhir.json': utf8(FHIR),
  'packed.zip': zipSync({ 'in/log.csv': utf8(LOG) }),
}

export const GUIDE: ReadingGuide = {
  columns: {
    Family: 'client_id',
    Day: 'done_on',
    Comment: 'note',
    'client.code': 'client_id',
    code: 'client_id',
    'when.started': 'done_on',
    started: 'done_on',
    'exercise.for': 'target',
    for: 'target',
    'dose.reps': 'reps',
    uid: 'record_id',
  },
  files: [
    {
      match: 'diary.csv',
      holds: 'sessions',
      dates: 'day-month-year',
      wide: { exercises: { Palm: { target: 'palmar_grasp', stimulus: 'brush' } } },
    },
  ],
}

const BITS = [
  '"',
  ',',
  ';',
  '\t',
  '|',
  '\n',
  '\r',
  '\0',
  '\ufeff',
  '\ud83e\uddf8',
  '{',
  '}',
  '[',
  ']',
  '\\',
  '""',
  '\xff',
  '-',
  '9'.repeat(40),
]

const MOST_PLACES = 4

/** The file whose turn it is, flipped, cut, doubled or stuffed in one to four places. */
function mutated(seed: number): { readonly file: string; readonly bytes: Uint8Array } {
  const next = numbers(seed)
  const names = Object.keys(WHOLE)
  const file = names[next(names.length)] as string
  return { file, bytes: mangled(WHOLE[file] as Uint8Array, next, BITS, MOST_PLACES) }
}

/**
 * Reads the clinic's files with one of them mutated.
 * @throws Error (not UserError) when anything but a planned message comes, or the accounts do not add up
 */
export async function survives(seed: number): Promise<'read' | 'refused'> {
  const { file, bytes } = mutated(seed)
  let read: Accounted
  try {
    read = await loadBytes({ 'clients.csv': WHOLE['clients.csv'] as Uint8Array, [file]: bytes }, GUIDE)
  } catch (error) {
    if (error instanceof UserError) return 'refused'
    throw new Error(`seed ${seed}, ${file}: ${String(error)}`, { cause: error })
  }
  requireAccount(read, `seed ${seed}, ${file}`)
  return 'read'
}

/** The accounts as a reader of the tables and the problems alone would draw them up. */
function requireAccount({ ledger, records }: Accounted, where: string): void {
  const sum = (of: (entry: Accounted['ledger'][number]) => number): number =>
    ledger.reduce((n, e) => n + of(e), 0)
  const rejected = new Set(
    records.problems.filter((p) => p.outcome === 'rejected').map((p) => `${p.file}|${p.record}`),
  )
  const rows = records.assessments.length + records.programmes.length + records.sessions.length
  const clientRows = ledger.filter((e) => e.kinds.includes('clients')).length > 0 ? records.clients.length : 0
  const faults = [
    sum((e) => e.records) === sum((e) => e.kept) + sum((e) => e.rejected),
    rejected.size === records.problems.filter((p) => p.outcome === 'rejected').length,
    rejected.size === sum((e) => e.rejected),
    rows + clientRows === sum((e) => e.rows),
    // A resource that is not used counts as no record, but keeps its place among the entries of its file.
    records.problems.every(
      (p) =>
        p.record >= 1 &&
        (p.file === 'fhir.json' || p.record <= (ledger.find((e) => e.file === p.file)?.records ?? 0)),
    ),
  ].flatMap((holds, k) => (holds ? [] : [k]))
  if (faults.length > 0) throw new Error(`${where}: the accounts do not add up (${faults.join(', ')})`)
}
