import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parquetReadObjects } from 'hyparquet'
import { describe, expect, it } from 'vitest'
import { parseDay, type Records } from '../../src/records/index.ts'
import { makeRelease } from '../../src/release/index.ts'
import { release } from '../commands/releaseCommand.ts'
import { load, withFolder } from '../load/folder.ts'
import { exportsOf, plainClient, plainExports, under } from './clinic.ts'

const MONTHS = 'January February March April May June July August September October November December'.split(
  ' ',
)
const two = (n: number): string => `${n}`.padStart(2, '0')

/** The ways in which people write a date: made here anew, not taken from the code under test. */
function spellings(iso: string): string[] {
  const [y, m, d] = iso.split('-').map(Number) as [number, number, number]
  const name = MONTHS[m - 1]!
  const th = d > 3 && d < 21 ? 'th' : (['th', 'st', 'nd', 'rd'][d % 10] ?? 'th')
  const short = `${y}`.slice(2)
  return [
    iso,
    `${two(d)}.${two(m)}.${y}`,
    `${m}/${d}/${short}`,
    `${d}/${m}/${short}`,
    `${d} ${name} ${y}`,
    `${name.slice(0, 3)} ${d}${th} ${y}`,
    `${y}${two(m)}${two(d)}`,
    `${two(d)}/${two(m)}/${y}`,
    `${name} ${d}, ${y}`,
    `${d}-${name.slice(0, 3)}-${y}`,
    `${two(d)}${two(m)}${y}`,
    `${y}.${two(m)}.${two(d)}`,
  ]
}

const squeezed = (text: string): string => text.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '')

/** Every text that leaves: names and bytes of the files, and the Parquet files decoded. */
async function everythingIn(folder: string): Promise<string> {
  const parts: string[] = []
  for (const name of readdirSync(folder)) {
    const bytes = readFileSync(join(folder, name))
    parts.push(name, bytes.toString('latin1'), bytes.toString('utf8'))
    if (!name.endsWith('.parquet')) continue
    const file = new Uint8Array(bytes).buffer
    const rows = await parquetReadObjects({ file })
    parts.push(JSON.stringify(rows, (_, v) => (typeof v === 'bigint' ? String(v) : v)))
  }
  return parts.join('\n')
}

describe('identifiers planted in every field that a clinic writes', () => {
  const clients = Array.from({ length: 140 }, (_, i) => ({
    ...plainClient(i),
    id: `Wren${i}Kx`,
    clinician: `Dr Ashgrove${i}`,
    rater: `Oakes-${i} B.`,
    note: `Tamsin${i}'s gran rang, so "late", bath first`,
    record: `REC${i}Qz`,
  }))
  const exports_ = exportsOf(clients)
  // Columns that are none of ours, and file names that tell whose they are.
  const [head, ...lines] = exports_['clients.csv']!.trimEnd().split('\n')
  const named = [
    `${head},Name,Initials,Phone`,
    ...lines.map((line, i) => `${line},Isolde${i} Marl,I.${i}.M.,0170${1000 + i}55`),
  ].join('\n')
  const files = {
    'Thornbury9 family/clients.csv': `${named}\n`,
    'Thornbury9 family/scores of Wren7Kx.csv': exports_['assessments.csv']!,
    'programmes for Ashgrove3 clinic.csv': exports_['programmes.csv']!,
    'diary Tamsin5.csv': exports_['home-log.csv']!,
  }
  const words = [
    ...clients.flatMap((c, i) => [
      ...[c.id, `Ashgrove${i}`, `Oakes-${i} B`, `Tamsin${i}'s gran rang`, c.record],
      ...[`Isolde${i} Marl`, `I.${i}.M.`, `0170${1000 + i}55`],
    ]),
    ...['Thornbury9', 'Ashgrove3 clinic', 'diary Tamsin5', 'scores of Wren7Kx'],
  ]

  it('leave in no file, in no file name, in nothing that is said: 1,124 words and every birth date', async () => {
    await withFolder(under('in', files), async (folder) => {
      const out = join(folder, 'tables')
      const said = await release(join(folder, 'in'), '--as-of', '2026-06-30', '--out', out)
      const all = `${await everythingIn(out)}\n${said.replaceAll(folder, '')}`
      const planted = Object.entries(files).flat().join('\n')
      expect(new Set(words).size).toBeGreaterThanOrEqual(1000)
      for (const word of words) expect(planted.includes(word), `${word} was never planted`).toBe(true)
      const lower = all.toLowerCase()
      const tight = squeezed(all)
      const left = words.filter((w) => lower.includes(w.toLowerCase()) || tight.includes(squeezed(w)))
      expect(left).toEqual([])
      const births = new Set(clients.map((c) => c.born))
      expect([...births].flatMap(spellings).filter((text) => lower.includes(text.toLowerCase()))).toEqual([])
      // The search itself can find: pseudonyms, codes and the Parquet texts are there.
      for (const text of ['moro', 'spinal_galant', 'early years']) expect(lower).toContain(text)
    })
  })

  /** Puts one planted word in the group and one in the site of each client, where they would leave as they stand. */
  function planted(records: Records, plants: readonly (readonly [string, string])[]): Records {
    const at = (i: number): readonly [string, string] => plants[i]!
    return {
      ...records,
      clients: records.clients.map((c, i) => ({
        ...c,
        research_consent: 'yes' as const,
        group: at(i)[0],
        site: at(i)[1],
      })),
    }
  }

  it('are found, each of 1,000, in the columns of the clinic’s own words, whatever the spelling', async () => {
    const { records } = await load(plainExports(100))
    const notes = Array.from({ length: 100 }, (_, i) => `gran${i} rang before bath`)
    const rated: Records = {
      ...records,
      clients: records.clients.map((c, i) => ({ ...c, client_id: `W-${i}K`, clinician: `Ivo Q${i}z` })),
      assessments: [],
      programmes: [],
      sessions: { ...records.sessions, length: 0 },
    }
    const logged: Records = {
      ...rated,
      sessions: { ...records.sessions, length: 100, note: (i: number) => notes[i]! },
    }
    const births = rated.clients.map((c) => c.birth_date!)
    const iso = births.map((day) => new Date(day * 86_400_000).toISOString().slice(0, 10))
    expect(iso.every((text, i) => parseDay(text) === births[i])).toBe(true)
    const ways: ((i: number) => string)[] = [
      ...Array.from({ length: 12 }, (_, way) => (i: number) => spellings(iso[i]!)[way]!),
      (i) => `w_${i}k`,
      (i) => `twin of (W-${i}K)`,
      (i) => `seen by IVO q${i}Z`,
      (i) => `Gran${i} rang, before bath!`,
      (i) => `born ${spellings(iso[i]!)[1]}`,
      (i) => `Ivo ${'Q'}${i}z`,
      (i) => `export ${i} of Marl.csv`,
      (i) => `=W-${i}K`,
      (i) => `w${i}k`,
      (i) => `W ${i} K again`,
    ]
    const sourceFiles = Array.from({ length: 100 }, (_, i) => `heron/export ${i} of Marl.csv`)
    let found = 0
    for (let way = 0; way < ways.length; way += 2) {
      const dirty = planted(
        logged,
        rated.clients.map((_, i) => [ways[way]!(i), ways[way + 1]!(i)]),
      )
      let message = ''
      try {
        const options = { asOf: 20_634, secret: new Uint8Array(32), k: 1, l: 1, sourceFiles }
        makeRelease(dirty, options)
      } catch (error) {
        message = String(error)
      }
      const counted = Number(/give away (\d+) identifiers/.exec(message)?.[1] ?? 0)
      expect(counted, `${ways[way]!(0)} and ${ways[way + 1]!(0)}: ${message}`).toBe(200)
      expect(message).toContain('people.csv, row 1, column group')
      for (const { group, site } of dirty.clients)
        for (const word of [group!, site!]) expect(message.includes(word), word).toBe(false)
      found += counted
    }
    expect(found).toBe(2200)
  })

  it('leave nothing behind where one would leave: no file, no folder, no word of it', async () => {
    const one = Array.from({ length: 60 }, (_, i) => plainClient(i))
    const dirty = exportsOf(one.map((c, i) => ({ ...c, group: i % 2 ? 'school' : 'with SM-4003' })))
    await withFolder(under('in', dirty), async (folder) => {
      const out = join(folder, 'tables')
      const made = release(join(folder, 'in'), '--as-of', '2026-06-30', '--out', out)
      await expect(made).rejects.toThrow(/Nothing was written.*identifier/s)
      await expect(made).rejects.not.toThrow(/SM-4003/)
      expect(existsSync(out)).toBe(false)
      expect(readdirSync(folder)).toEqual(['in'])
    })
  })
})
