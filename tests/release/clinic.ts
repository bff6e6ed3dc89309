import { formatDay } from '../../src/records/index.ts'

/** One client of an invented clinic, as its exports tell of them. Every text is the clinic's own. */
export interface InventedClient {
  readonly id: string
  readonly born: string
  readonly sex: string
  readonly site: string
  readonly clinician: string
  readonly group: string
  readonly consent: string
  readonly rater: string
  readonly note: string
  /** The log's own record number. */
  readonly record: string
}

const START = 20_454 // 2026-01-01
const VISITS = [-7, 35, 84, 126]
const STIMULI = ['brush', 'touch']
const REFLEXES = ['Moro', 'ATNR', 'Spinal Galant', 'Rooting']

/** Client i when nothing is planted: three sites, two groups, two sexes; every sixth keeps out of research. */
export const plainClient = (i: number): InventedClient => ({
  id: `SM-${4001 + i}`,
  born: formatDay(START - 1000 - ((i * 397) % 3000)),
  sex: i % 2 === 0 ? 'female' : 'male',
  site: ['Heron', 'Curlew', 'Plover'][i % 3]!,
  clinician: 'A.V.',
  group: ['early years', 'school age'][(i >> 1) % 2]!,
  consent: i % 6 === 5 ? 'no' : 'yes',
  rater: 'A.V.',
  note: '',
  record: `${i}`,
})

const csv = (rows: readonly (readonly (string | number)[])[]): string =>
  rows
    .map(
      (row) =>
        `${row.map((c) => (/[",\n]/.test(`${c}`) ? `"${`${c}`.replaceAll('"', '""')}"` : c)).join()}\n`,
    )
    .join('')

/** Raw exports of these clients: four visits each, two reflexes, a programme each, eight weeks of a diary. */
export function exportsOf(clients: readonly InventedClient[]): Record<string, string> {
  const rows = { assessments: [] as string[][], programmes: [] as string[][], log: [] as string[][] }
  clients.forEach((c, i) => {
    const start = START + (i % 5) * 7
    const pair = [REFLEXES[i % 4]!, REFLEXES[(i + 1) % 4]!]
    pair.forEach((reflex, r) => {
      const side = reflex === 'Moro' ? 'midline' : 'left'
      VISITS.forEach((after, v) => {
        const score = Math.max(0, 2 + ((i * 5 + reflex.length) % 3) - v)
        rows.assessments.push([c.id, formatDay(start + after), reflex, side, `${score}`, c.rater])
      })
      const stimulus = STIMULI[i % 2]!
      rows.programmes.push([c.id, reflex, side, stimulus, '1', '10', formatDay(start), ''])
      for (let d = 0; d < 56; d += 2 + (i % 3)) {
        const reaction = (i + d) % 40 === 0 ? 'skin' : (i + d) % 90 === 7 ? 'distress' : 'none'
        const done = formatDay(start + d)
        rows.log.push([`${c.record}-${r}-${d}`, c.id, done, reflex, side, stimulus, '10', reaction, c.note])
      }
    })
  })
  return {
    'clients.csv': csv([
      ['Client ID', 'Date of birth', 'Sex', 'Site', 'Clinician', 'Group', 'Research consent'],
      ...clients.map((c) => [c.id, c.born, c.sex, c.site, c.clinician, c.group, c.consent]),
    ]),
    'assessments.csv': csv([['Client ID', 'Date', 'Reflex', 'Side', 'Score', 'Rater'], ...rows.assessments]),
    'programmes.csv': csv([
      [
        'Client ID',
        'Target',
        'Side',
        'Stimulus',
        'Sessions per day',
        'Reps per session',
        'Starts on',
        'Ends on',
      ],
      ...rows.programmes,
    ]),
    'home-log.csv': csv([
      ['Record ID', 'Client ID', 'Date', 'Target', 'Side', 'Stimulus', 'Reps', 'Reaction', 'Note'],
      ...rows.log,
    ]),
  }
}

/** Exports of so many plain clients. */
export const plainExports = (clients: number): Record<string, string> =>
  exportsOf(Array.from({ length: clients }, (_, i) => plainClient(i)))

/** The same files, under a folder. */
export const under = (folder: string, files: Record<string, string>): Record<string, string> =>
  Object.fromEntries(Object.entries(files).map(([name, text]) => [`${folder}/${name}`, text]))
