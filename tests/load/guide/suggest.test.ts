import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { draftGuide } from '../../../src/load/draftGuide.ts'
import { DECIDE } from '../../../src/load/guide/draftText.ts'
import { parseGuide } from '../../../src/load/guide/parseGuide.ts'
import { suggestGuide } from '../../../src/load/guide/suggest.ts'
import { loadFolder, readRawTables } from '../../../src/load/loadFolder.ts'
import { parseDay } from '../../../src/records/index.ts'

async function inFolder<T>(files: Record<string, string>, work: (folder: string) => Promise<T>): Promise<T> {
  const folder = await mkdtemp(join(tmpdir(), 'waneline-'))
  try {
    for (const [name, text] of Object.entries(files)) await writeFile(join(folder, name), text)
    return await work(folder)
  } finally {
    await rm(folder, { recursive: true })
  }
}
const draft = (files: Record<string, string>): Promise<string> =>
  inFolder(files, async (folder) => suggestGuide((await readRawTables(folder, { guide: {} })).tables))
const lineWith = (yaml: string, part: string): string =>
  yaml.split('\n').find((line) => line.includes(part)) ?? ''

describe('suggestGuide', () => {
  it('asks nothing about a folder that needs no guide', async () => {
    const yaml = await draft({
      'scores.csv': 'Client ID,Assessment date,Reflex,Side,Score\nSM-1,2026-03-01,Moro,midline,2\n',
    })
    expect(yaml).toContain('Read as it stands: scores.csv')
    expect(yaml).not.toContain('files:')
    expect(parseGuide(yaml, 'g')).toEqual({})
  })

  it('proposes fields by values, asks about the rest, and marks each', async () => {
    const yaml = await draft({
      'log.csv':
        'Code,Day,Work on,With,Strokes,Level of joy\nSM-101,2026-04-01,Moro,touch,5,high\nSM-102,2026-04-02,Galant,brush,6,low\n',
    })
    expect(lineWith(yaml, 'Code:')).toMatch(/Code: client_id # DECIDE: by its values; holds "SM-101"/)
    expect(lineWith(yaml, 'Work on:')).toMatch(/Work on: target # DECIDE/)
    expect(lineWith(yaml, 'joy:')).toMatch(/Level of joy: ignore # DECIDE: what is it\?/)
    expect(lineWith(yaml, 'holds: s')).toContain(`holds: sessions # ${DECIDE}`)
    const guide = parseGuide(yaml, 'g')
    expect(guide.files![0]!.columns).toMatchObject({
      Code: 'client_id',
      'Work on': 'target',
      With: 'stimulus',
    })
  })

  it('asks for words that cannot be read, for the order of dates, for commas', async () => {
    const yaml = await draft({
      'scores.csv':
        'Client;Assessment date;Reflex;Side;Score\nSM-1;03/04/2026;Moro;mid;++\nSM-1;05/06/2026;Morrow;dexter;1,5\n',
    })
    expect(yaml).toContain(
      'DECIDE: in "Assessment date" nothing shows whether the day or the month comes first',
    )
    expect(yaml).toContain('DECIDE: numbers with a comma in "Score"')
    for (const word of ['dexter: ?', '"++": ?', 'Morrow: ?']) expect(yaml).toContain(word)
    expect(yaml).not.toContain('mid: ?')
    expect(() => parseGuide(yaml, 'g')).not.toThrow()
  })

  it('asks only what a guide leaves open, and names the fields that are still without a heading', async () => {
    const tables = {
      'clients.csv':
        'Code,Born,Wks,Mind\nSM-101,2024-01-02,35,sore skin + heart\nSM-102,2024-02-03,36,heart\n',
      'log.csv': 'Code,Date,Work on,Side,With,Marks\nSM-101,2026-04-01,Moro,mid,feather,+\n',
    }
    const first = await draft(tables)
    expect(lineWith(first, 'no heading is known to hold')).toMatch(
      /Fields of clients .*gestation_weeks.*cautions/,
    )
    expect(lineWith(first, 'no heading is known to hold')).not.toMatch(/birth_date|client_id/)
    const guide = parseGuide(
      `files:
  - match: clients.csv
    columns: { Code: client_id, Wks: gestation_weeks, Mind: cautions }
    cautions_joined_by: " + "
    words: { cautions: { heart: heart_rhythm } }
  - match: log.csv
    holds: sessions
    columns: { Code: client_id, Work on: target, With: stimulus, Marks: ignore }
`,
      'g',
    )
    const second = await inFolder(tables, (folder) => draftGuide(folder, { guide }))
    // "sore skin" and "feather" are all that is left; "heart" is said, and a caution is asked for once, not each joined cell.
    expect(second.match(/: \?$/gm)).toHaveLength(2)
    expect(second).toContain('sore skin: ?')
    expect(second).toContain('feather: ?')
    expect(second).not.toContain('columns:')
    expect(() => parseGuide(second, 'g')).not.toThrow()
  })

  it('asks which of two columns with one heading is meant, and gathers the words of all files alike', async () => {
    const yaml = await draft({
      'a.csv': 'Client,Date,Date,What,Side,Reps\nSM-101,2026-04-01,2026-04-02,Moro,top,5\n',
      'b.csv': 'Client,Date,Date,What,Side,Reps\nSM-101,2026-04-03,2026-04-04,Galant,under,5\n',
    })
    expect(lineWith(yaml, 'Date: [')).toMatch(
      /Date: \[date, ignore\] # DECIDE: it stands 2 times; 1: holds "2026-04-01"/,
    )
    expect(lineWith(yaml, 'holds: s')).toContain('holds: sessions')
    expect(yaml).toContain('top: ?')
    expect(yaml).toContain('under: ?')
  })

  it('asks for the words under a heading whose field depends on what the table holds', async () => {
    const yaml = await draft({
      'log.csv':
        'Client,Done on,Target,Side,Reps,By\nSM-1,2026-03-01,Moro,mid,5,gran\nSM-1,2026-03-02,Moro,mid,5,family\n',
    })
    expect(yaml).toMatch(/done_by: # .*family/)
    expect(yaml).toContain('gran: ?')
  })

  it('names beside a proposal the heading that is understood as the same field, so that both count', async () => {
    const files = {
      'app.ndjson':
        '{"client":{"code":"SM-101"},"when":{"started":"2026-04-01T08:00:00"},"exercise":{"for":"Moro","side":"midline"},"dose":{"reps":3}}\n{"code":"SM-102","started":"2026-04-02T08:00:00","for":"Moro","side":"midline","reps":3}\n',
    }
    const yaml = await draft(files)
    expect(yaml).toMatch(/"client\.code": client_id\n(?:.*\n)*? {6}code: client_id # DECIDE/)
    await inFolder({ ...files, 'guide.yaml': yaml }, async (folder) => {
      const { records } = await loadFolder(folder, { asOf: parseDay('2026-06-30')! })
      expect(records.sessions.length).toBe(2)
      expect(records.problems).toEqual([])
    })
  })

  it('a mark that is no score goes where the draft says it goes', async () => {
    const yaml = await draft({
      's.csv': 'Client,Assessment date,Reflex,Side,Score\nSM-1,2026-03-01,Moro,mid,nt\n',
    })
    expect(lineWith(yaml, 'score: #')).toContain('no_value: { score: [...] }')
    expect(() => parseGuide('no_value: { score: [nt] }', 'g')).not.toThrow()
  })

  it('sees a wide diary, and names that hold the client', async () => {
    const diary = 'Day,Palm L,Palm R,Back L strokes,Back L mins\n01/04/2026,3,x,5,1.5\n'
    const yaml = await draft({ 'diary_SM-0912.csv': diary, 'diary_SM-0913.csv': diary })
    expect(yaml).toContain('palm: { target: ?, stimulus: ? }')
    expect(yaml).toContain('name: "diary_{client_id}.csv"')
    expect(yaml).toContain('2 records in 2 tables with the same headings')
  })

  it('a draft is a guide that can be used as it is', async () => {
    const files = {
      'clients.csv': 'Code,Born,Sex\nSM-101,2024-01-02,f\nSM-102,2024-02-03,m\n',
      'log.csv': 'Code,Date,Work on,Side,With,Strokes\nSM-101,2026-04-01,Moro,midline,touch,5\n',
    }
    const yaml = await draft(files)
    await inFolder({ ...files, 'guide.yaml': yaml }, async (folder) => {
      const { records } = await loadFolder(folder, { asOf: parseDay('2026-06-30')! })
      expect(records.clients.map(({ client_id }) => client_id)).toEqual(['SM-101', 'SM-102'])
      expect(records.sessions.length).toBe(1)
      expect(records.problems).toEqual([])
    })
  })

  it('headings and words of any kind cannot break out of the draft', async () => {
    const odd = [
      'a: b',
      '# x',
      '- y',
      '"q"',
      "'s",
      '{z}',
      '[l]',
      '*r',
      '&r',
      '!t',
      '%d',
      '@',
      '`',
      'x\ty',
      'é ñ',
      '?',
      'true',
      '~',
      '|',
    ]
    const csv = `${odd.map((h) => `"${h.replaceAll('"', '""')}"`).join(',')}\n${odd.map((h) => `"${h.replaceAll('"', '""')}\nfiles: x"`).join(',')}\n`
    const yaml = await draft({ 'odd # name: x.csv': csv })
    const guide = parseGuide(yaml, 'g')
    expect(Object.keys(guide.files![0]!.columns!).sort()).toEqual([...odd].sort())
    expect(guide.files![0]!.match).toBe('odd # name: x.csv')
  })

  it('does not repeat names or long lists of texts', async () => {
    const rows = Array.from({ length: 60 }, (_, i) => `SM-${1000 + i},Wren${i},note ${i} about Robin`)
    const yaml = await draft({ 'clients.csv': `Code,First name,Tale\n${rows.join('\n')}\n` })
    expect(yaml).not.toContain('Wren')
    expect(yaml).not.toContain('Robin')
    expect(lineWith(yaml, 'Tale:')).toContain('more than 40 different texts')
  })
})
