import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { Command } from 'commander'
import { describe, expect, it } from 'vitest'
import { registerRelease } from '../../src/commands/release.ts'
import { withFolder } from '../load/folder.ts'
import { exportsOf, plainClient, plainExports, under } from '../release/clinic.ts'
import { release, snapshot } from './releaseCommand.ts'

const CLINIC = under('in', plainExports(60))
const DAY = ['--as-of', '2026-06-30']
const FILES = [
  ...['adherence', 'outcomes', 'people', 'reactions', 'scores'].flatMap((t) => [`${t}.csv`, `${t}.parquet`]),
  ...['codebook.md', 'datapackage.json', 'risk-report.html', 'risk-report.json'],
].sort()
const KEY = 'a1'.repeat(32)

/** A clinic's folder, with the paths that the tests use. */
const clinic = (use: (at: (name: string) => string, folder: string) => Promise<void>, files = CLINIC) =>
  withFolder(files, (folder) => use((name) => join(folder, name), folder))

const writeKey = (path: string, mode = 0o600): void => {
  writeFileSync(path, `${KEY}\n`)
  chmodSync(path, mode)
}

/** Expects a refusal that leaves everything as it was. */
async function refused(folder: string, words: readonly string[], message: RegExp): Promise<void> {
  const before = snapshot(folder)
  await expect(release(...words)).rejects.toThrow(message)
  expect(snapshot(folder)).toEqual(before)
}

describe('waneline release', () => {
  it('writes the whole release for its owner alone, beside nothing else', async () => {
    await clinic(async (at, folder) => {
      const before = snapshot(folder)
      const said = await release(at('in'), ...DAY, '--out', at('tables'))
      expect(readdirSync(at('tables')).sort()).toEqual(FILES)
      expect(statSync(at('tables')).mode & 0o777).toBe(0o700)
      for (const file of FILES) expect(statSync(at(`tables/${file}`)).mode & 0o777, file).toBe(0o600)
      const after = snapshot(folder)
      const kept = Object.entries(after).filter(([path]) => !/^tables(\/|$)/.test(path))
      expect(Object.fromEntries(kept)).toEqual(before)
      expect(said).toMatch(/49 of 50 consenting clients, 1 left out/)
      expect(said).toContain('Local data-protection law and ethics approval decide.')
    })
  })

  it('replaces nothing: a folder or file under that name is refused', async () => {
    await clinic(async (at, folder) => {
      mkdirSync(at('tables'))
      await refused(folder, [at('in'), ...DAY, '--out', at('tables')], /is there already.*does not exist/)
      writeFileSync(at('file'), 'kept')
      await refused(folder, [at('in'), ...DAY, '--out', at('file')], /is there already/)
    })
  })

  it('gives random pseudonyms unless there is a secret, and with one the same bytes', async () => {
    await clinic(async (at) => {
      const made = async (out: string, ...more: string[]) => {
        await release(at('in'), ...DAY, '--out', at(out), ...more)
        return Object.fromEntries(FILES.map((f) => [f, readFileSync(at(`${out}/${f}`), 'latin1')]))
      }
      const [one, two] = [await made('one'), await made('two')]
      const people = (r: Record<string, string>) =>
        r['people.csv']!.split('\n').map((line) => line.split(',')[0])
      expect(
        people(one)
          .filter((p) => people(two).includes(p))
          .filter(Boolean),
      ).toEqual(['person'])
      const secret = ['--secret', at('keys/clinic.secret')]
      const first = await made('first', ...secret)
      expect(statSync(at('keys')).mode & 0o777).toBe(0o700)
      expect(statSync(at('keys/clinic.secret')).mode & 0o777).toBe(0o600)
      expect(await made('second', ...secret)).toEqual(first)
    })
  })
})

describe('the secret', () => {
  it('is never printed and stands in no file of the release, in no encoding', async () => {
    await clinic(async (at) => {
      writeKey(at('key'))
      const said = await release(at('in'), ...DAY, '--out', at('tables'), '--secret', at('key'))
      const bytes = Buffer.from(KEY, 'hex')
      const texts = [KEY, KEY.toUpperCase(), bytes.toString('base64'), bytes.toString('latin1')]
      const all = [said, ...FILES.map((f) => readFileSync(at(`tables/${f}`), 'latin1'))]
      for (const text of texts) for (const content of all) expect(content.includes(text)).toBe(false)
      expect(said).toContain('never the one around it') // it lies beside the release
    })
  })

  it.each([
    ['straight', 'tables/key'],
    ['deep', 'tables/a/b/key'],
    ['by a way round', 'in/../tables/../tables/key'],
    ['through a link to the folder', 'link/key'],
    ['through a link to the file', 'filelink'],
    ['as the folder itself', 'tables'],
  ])('is refused inside the release folder, %s', async (_, secret) => {
    await clinic(async (at, folder) => {
      symlinkSync(at('tables'), at('link'))
      symlinkSync('tables/key', at('filelink'))
      const before = readdirSync(folder).sort()
      await expect(release(at('in'), ...DAY, '--out', at('tables'), '--secret', at(secret))).rejects.toThrow(
        /lies in the release folder/,
      )
      expect(readdirSync(folder).sort()).toEqual(before)
    })
  })

  it('is refused by a relative path, and where the release would be made in it', async () => {
    const here = `waneline-${process.pid}-tables`
    await clinic(async (at, folder) => {
      const words = [at('in'), ...DAY, '--out', here, '--secret', `${here}/key`]
      await refused(folder, words, /lies in the release folder/)
      const inIt = [at('in'), ...DAY, '--out', at('key/tables'), '--secret', at('key')]
      await refused(folder, inIt, /would lie in .*key, which is to be the secret/)
      mkdirSync(at('keys'))
      await refused(folder, [at('in'), ...DAY, '--out', at('t'), '--secret', at('keys')], /is no file/)
    })
    expect(existsSync(here)).toBe(false)
  })

  it.each([0o640, 0o604, 0o660, 0o620])('is refused where others may read or write it: %o', async (mode) => {
    await clinic(async (at, folder) => {
      writeKey(at('key'), mode)
      const words = [at('in'), ...DAY, '--out', at('tables'), '--secret', at('key')]
      await refused(folder, words, /Others than its owner.*chmod 600/)
    })
  })

  it('is refused where it is none, without a word of what stands there', async () => {
    await clinic(async (at, folder) => {
      writeFileSync(at('key'), 'hunter2', { mode: 0o600 })
      const words = [at('in'), ...DAY, '--out', at('tables'), '--secret', at('key')]
      await refused(folder, words, /64 hexadecimal digits/)
      await expect(release(...words)).rejects.not.toThrow(/hunter2/)
    })
  })
})

describe('a request that cannot be met', () => {
  it.each([
    [['--k', '0'], /whole number of 1 or more/],
    [['--k', 'five'], /whole number of 1 or more/],
    [['--k', '2.5'], /whole number of 1 or more/],
    [['--l', '-1'], /whole number of 1 or more/],
    [['--max-suppressed', '5'], /share from 0 to 1/],
    [['--max-unique', ''], /share from 0 to 1/],
    [['--finest', 'hour'], /day, week, month, quarter, half_year, before_or_after/],
    [['--as-of', '30/06/2026'], /YYYY-MM-DD/],
    [['--previous', 'nowhere'], /takes the folder of an earlier release/],
    [['--hierarchies', 'nowhere.yaml'], /Cannot read the hierarchies nowhere.yaml/],
  ])('%j is named, with what is allowed', async (words, message) => {
    await clinic(async (at, folder) => {
      await refused(folder, [at('in'), ...DAY, '--out', at('tables'), ...words], message)
    })
  })

  it('says the nearest k and l that can be reached, and they can', async () => {
    await clinic(async (at, folder) => {
      const words = (out: string, k: number) => [at('in'), ...DAY, '--out', at(out), '--k', `${k}`]
      await refused(folder, words('tables', 51), /k = 51 and l = 2: 50 consenting people.*k = 50 with l = 2/)
      await release(...words('nearest', 50))
      await refused(folder, [...words('t', 5), '--l', '6'], /no k with l = 6, or l = 2 with k = 5/)
      await release(...words('diverse', 5), '--l', '2')
    })
  })

  it.each([
    [
      'age_bands: [[0, 3, 18],\n  [0, 4]]\n',
      /h\.yaml:2: age_bands\.2\.2: found 4, .*only merge bands.*lower bounds/,
    ],
    ['age_bands:\n  - [0, teen]\n', /h\.yaml:2: age_bands\.1\.2: found "teen".*0 to 90/],
    [
      'sites:\n  coast: [Heron]\n  inland:\n    - Curlew\n    - Heron\n',
      /h\.yaml:5: sites\.inland\.2: found "Heron" twice/,
    ],
    [
      '# ours\ngroups:\n  young: early years\n',
      /h\.yaml:3: groups\.young: found "early years".*list of the groups/,
    ],
    ['sites: {}\ncolour: red\n', /h\.yaml:2: colour: found the key "colour".*age_bands, groups, sites/],
    ['sites:\n  coast: [Heron\n', /h\.yaml:3: this is not YAML/],
    ['- 1\n', /h\.yaml:1: found \["1"\].*age_bands, groups, sites/],
  ])('hierarchies %j are refused by line, with what is allowed', async (text, message) => {
    await clinic(async (at, folder) => {
      writeFileSync(at('h.yaml'), text)
      await refused(folder, [at('in'), ...DAY, '--out', at('t'), '--hierarchies', at('h.yaml')], message)
    })
  })

  it('names words of the hierarchies that no client has', async () => {
    await clinic(async (at) => {
      writeFileSync(at('h.yaml'), 'sites:\n  coast: [Heron, Plovre]\n')
      const said = await release(at('in'), ...DAY, '--out', at('t'), '--hierarchies', at('h.yaml'))
      expect(said).toMatch(/warning: .*h\.yaml, sites: no client has "Plovre"/)
    })
  })

  it('is refused where nobody consented', async () => {
    const nobody = Array.from({ length: 40 }, (_, i) => ({ ...plainClient(i), consent: i % 2 ? 'no' : '' }))
    await clinic(
      (at, folder) =>
        refused(folder, [at('in'), ...DAY, '--out', at('tables')], /No client has research_consent/),
      under('in', exportsOf(nobody)),
    )
  })
})

describe('the help of release', () => {
  const command = () => {
    const program = new Command('waneline')
    registerRelease(program)
    return program.commands[0]!
  }
  const help = (): string => {
    let text = ''
    command()
      .configureOutput({ writeOut: (part) => (text += part) })
      .outputHelp()
    return text
  }

  it('has examples that the command line takes', async () => {
    const examples = [...help().matchAll(/^ {2}waneline release (.+)$/gm)].map((m) => m[1]!.split(' '))
    expect(examples.length).toBeGreaterThanOrEqual(3)
    for (const words of examples) {
      const parsed = command()
        .exitOverride()
        .action(() => {})
      await parsed.parseAsync(words, { from: 'user' })
      expect(parsed.args).toHaveLength(1)
    }
  })

  it('names every option with its default', () => {
    for (const o of command().options) {
      expect(help()).toContain(o.long)
      if (o.defaultValue !== undefined)
        expect(help()).toContain(`default: ${JSON.stringify(o.defaultValue)})`)
    }
    expect(help()).toContain('Only clients with research consent "yes" enter')
  })
})
