import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { beforeAll, describe, expect, it, vi } from 'vitest'
import { type Ended, waneline } from './command.ts'

const TOY = fileURLToPath(new URL('./data/toy.ts', import.meta.url))
const folder = (): string => mkdtempSync(join(tmpdir(), 'waneline-run-'))

/** A notebook in a folder of its own, with neither package.json nor node_modules. */
function notebook(source: string): { readonly cwd: string; readonly file: string } {
  const cwd = folder()
  writeFileSync(join(cwd, 'n.ts'), source)
  return { cwd, file: 'n.ts' }
}

vi.setConfig({ testTimeout: 150_000 })

describe('waneline run', () => {
  let cwd: string
  let ended: Ended
  beforeAll(async () => {
    cwd = folder()
    ended = await waneline(['run', TOY, '--out', 'a', '--format', 'html,ipynb,md,csv,pptx', '--weeks=8'], {
      cwd,
    })
  })

  it('writes every form, says where they are, and lets only their owner read them', () => {
    expect(ended.err).toBe('')
    expect(ended.code).toBe(0)
    expect(ended.out.trim().split('\n')).toEqual([
      'a/toy.html',
      'a/toy.ipynb',
      'a/toy.md',
      'a/toy-pictures/',
      'a/toy-tables/',
      'a/toy.pptx',
    ])
    expect(statSync(join(cwd, 'a/toy.html')).mode & 0o777).toBe(0o600)
  })

  it('gives the same bytes from the same inputs, in every form', async () => {
    await waneline(
      ['run', TOY, '--out', 'b', '--format', 'html,ipynb,md,csv,pptx', '--weeks', '8', '--no-check'],
      {
        cwd,
        env: { TZ: 'Pacific/Auckland', LANG: 'de_DE.UTF-8' },
      },
    )
    const files = (readdirSync(join(cwd, 'a'), { recursive: true }) as string[]).sort()
    expect((readdirSync(join(cwd, 'b'), { recursive: true }) as string[]).sort()).toEqual(files)
    expect(files.length).toBeGreaterThan(8)
    for (const file of files)
      if (statSync(join(cwd, 'a', file)).isFile())
        expect(readFileSync(join(cwd, 'a', file)).equals(readFileSync(join(cwd, 'b', file))), file).toBe(true)
  })

  it('verifies the page it wrote, and says what changed in a page or notebook that was altered', async () => {
    const page = join(cwd, 'a/toy.html')
    const same = await waneline(['verify', page, '--notebook', TOY], { cwd })
    expect(same).toMatchObject({ code: 0, err: '' })
    expect(same.out).toContain('is reproduced')
    writeFileSync(join(cwd, 'edited.html'), readFileSync(page, 'utf8').replace('>63<', '>64<'))
    const edited = await waneline(['verify', 'edited.html', '--notebook', TOY], { cwd })
    expect(edited.code).toBe(1)
    expect(edited.err).toContain('edited by hand')
    expect(edited.err).toContain('>64<')
    writeFileSync(join(cwd, 'toy.ts'), `${readFileSync(TOY, 'utf8')}\n// later\n`)
    const altered = await waneline(['verify', page], { cwd })
    expect(altered.code).toBe(1)
    expect(altered.err).toContain('The notebook toy.ts has changed since.')
  })
})

describe('parameters', () => {
  const source = `import { parameters, show, z } from 'waneline'
const p = parameters({
  count: z.number().int().max(9).default(3).describe('how many'),
  names: z.array(z.string()).default(['a']),
  mode: z.enum(['short', 'long']).default('short'),
  loud: z.boolean().default(false),
})
show('# Values')
show(JSON.stringify(p).replaceAll('"', "'"))
`
  it('come from flags before the file, the file before the environment, that before defaults', async () => {
    const { cwd, file } = notebook(source)
    writeFileSync(join(cwd, 'p.yaml'), 'count: 5\nmode: long\n')
    const { code, err } = await waneline(
      ['run', file, '--no-check', '--format', 'md', '--params', 'p.yaml', '--count', '7', '--names', 'x,y'],
      { cwd, env: { WANELINE_COUNT: '1', WANELINE_MODE: 'short', WANELINE_LOUD: 'true' } },
    )
    expect(err).toBe('')
    expect(code).toBe(0)
    expect(readFileSync(join(cwd, 'reports/n.md'), 'utf8')).toContain(
      "{'count':7,'names':['x','y'],'mode':'long','loud':true}",
    )
  })

  it('are listed with their defaults by --help', async () => {
    const { cwd, file } = notebook(source)
    const { code, out } = await waneline(['run', file, '--help'], { cwd })
    expect(code).toBe(0)
    expect(out).toMatch(/--count <number>\s+how many \(default: 3\)/)
    expect(out).toMatch(/--mode <short \| long>/)
  })
})

describe('a notebook that fails', () => {
  it('names its own line, where it went wrong, and leaves no page', async () => {
    const { cwd, file } = notebook(`import { show } from 'waneline'
show('# Fails')
function deeper(value: number): void {
  if (value > 2) throw new RangeError('value is beyond 2')
}
for (const value of [1, 2, 3]) deeper(value)
`)
    const { code, err } = await waneline(['run', file, '--no-check'], { cwd })
    expect(code).toBe(1)
    expect(err).toContain('RangeError: value is beyond 2')
    expect(err).toContain('stopped at n.ts:4')
    expect(err).toContain("> 4 |   if (value > 2) throw new RangeError('value is beyond 2')")
    expect(existsSync(join(cwd, 'reports'))).toBe(false)
  })

  it('is not to blame for what the exports, their guide or the command line say: none of its lines is shown', async () => {
    const { cwd, file } = notebook(`import { folderParameters, loadFolder, parameters } from 'waneline'
const { data, asOf, guide } = parameters(folderParameters)
await loadFolder(data, { asOf, guide })
`)
    mkdirSync(join(cwd, 'exports'))
    writeFileSync(
      join(cwd, 'exports', 'log.csv'),
      'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,,5\n',
    )
    const withoutDay = await waneline(['run', file, '--no-check', '--data', 'exports'], { cwd })
    expect(withoutDay.code).toBe(1)
    expect(withoutDay.err).toMatch(
      /^The day the report is made for is not given [^\n]*\n\nNo page was written\.\n$/,
    )
    writeFileSync(join(cwd, 'exports', 'guide.yaml'), 'datez: x\n')
    const words = ['run', file, '--no-check', '--data', 'exports', '--as-of', '2026-06-30']
    const badGuide = await waneline(words, { cwd })
    expect(badGuide.code).toBe(1)
    expect(badGuide.err).toContain('guide.yaml:1: datez: "datez" is not known here. Did you mean "dates"?')
    expect(badGuide.err).toMatch(/\n\nNo page was written\.\n$/)
    expect(badGuide.err).not.toContain('n.ts')
    // Every record of the only file is rejected: a page of noughts would say that nobody needs anybody.
    writeFileSync(join(cwd, 'exports', 'guide.yaml'), '')
    writeFileSync(join(cwd, 'exports', 'log.csv'), 'Client ID,Date,Target,Side,Reps\nSM-1,never,Moro,,5\n')
    const nothing = await waneline(words, { cwd })
    expect(nothing.code).toBe(1)
    expect(nothing.err).toMatch(/^Not one record of "exports" could be taken, /)
    expect(nothing.out).toBe('')
  })

  it('says what show takes where it is given something else', async () => {
    const { cwd, file } = notebook(`import { show } from 'waneline'
show(undefined as unknown as string)
`)
    const { code, err } = await waneline(['run', file], { cwd })
    expect(code).toBe(1)
    expect(err).toContain('show() takes text, a chart, a table')
    expect(err).toContain('n.ts:2')
  })

  it('is not run where it does not pass its type check', async () => {
    const { cwd, file } = notebook(`import { show } from 'waneline'
console.log('it ran')
const n: number = 'three'
show(\`# \${n}\`)
`)
    const { code, out, err } = await waneline(['run', file], { cwd })
    expect(code).toBe(1)
    expect(out).not.toContain('it ran')
    expect(err).toContain("n.ts:3: Type 'string' is not assignable to type 'number'.")
    expect(err).toContain("> 3 | const n: number = 'three'")
  })

  it('that cannot be parsed names the line', async () => {
    const { cwd, file } = notebook(`import { show } from 'waneline'\nshow('a'\n`)
    const { code, err } = await waneline(['run', file, '--no-check'], { cwd })
    expect(code).toBe(1)
    expect(err).toMatch(/n\.ts:[23]/)
  })

  it('that ends its process says so', async () => {
    const { cwd, file } = notebook(`process.exit(3)\n`)
    const { code, err } = await waneline(['run', file, '--no-check'], { cwd })
    expect(code).toBe(1)
    expect(err).toContain('process.exit(3) would end the notebook before its page is made')
    expect(err).toContain('n.ts:1')
  })
})

describe('waneline new', () => {
  it('writes a notebook that runs as it stands, in an empty folder, and never writes over one', async () => {
    const cwd = folder()
    expect((await waneline(['new', 'my-question'], { cwd })).code).toBe(0)
    const ran = await waneline(['run', 'my-question.ts', '--goal', '80'], { cwd })
    expect(ran).toMatchObject({ code: 0, err: '', out: 'reports/my-question.html\n' })
    expect(readFileSync(join(cwd, 'reports/my-question.html'), 'utf8')).toContain('My question')
    const again = await waneline(['new', 'my-question.ts'], { cwd })
    expect(again.code).toBe(2)
    expect(again.err).toContain('is there already')
  })
})

describe('waneline chart', () => {
  it('writes pictures that hold no letters to be looked up in fonts, and names what there is', async () => {
    const cwd = folder()
    const { code, out } = await waneline(['chart', TOY, '--only', '1', '--out', '.'], { cwd })
    expect(code).toBe(0)
    const [png, svg] = out.trim().split('\n') as [string, string]
    expect(readFileSync(join(cwd, png)).subarray(1, 4).toString()).toBe('PNG')
    const text = readFileSync(join(cwd, svg), 'utf8')
    expect(text).toMatch(/^<svg role="img" [^>]*><title>/)
    expect(text).not.toMatch(/<text|font-family|currentColor/)
    const none = await waneline(['chart', TOY, '--only', '9'], { cwd })
    expect(none.code).toBe(2)
    expect(none.err).toContain('The page has 2 charts\n  1  ')
  })

  it('writes a chart with the table behind it, the same bytes twice; words that fit two charts choose none', async () => {
    const cwd = folder()
    const { err } = await waneline(['chart', TOY, '--only', 'no such chart'], { cwd })
    const title = /\n {2}2 {2}(.*)/.exec(err)![1]!
    const runs = await Promise.all(
      ['a', 'b'].map((out) =>
        waneline(['chart', TOY, '--only', '2', '--format', 'png,svg,csv', '--out', out], {
          cwd,
        }),
      ),
    )
    expect((await waneline(['chart', TOY, '--only', title], { cwd })).err).toContain(
      'No one chart is meant by',
    )
    for (const { code, out } of runs) expect([code, out.trim().split('\n').length]).toEqual([0, 3])
    const bytes = (out: string) =>
      readdirSync(join(cwd, out)).map((name) => [name, readFileSync(join(cwd, out, name)).toString('hex')])
    expect(bytes('a')).toEqual(bytes('b'))
    const csv = readdirSync(join(cwd, 'a')).find((name) => name.endsWith('.csv'))!
    const [heading, ...rows] = readFileSync(join(cwd, 'a', csv), 'utf8')
      .trim()
      .split('\n')
    expect(heading).toMatch(/^[a-z_]+(,[a-z_A-Z]+)*$/)
    expect(rows.length).toBeGreaterThan(0)
  })

  it('says in its help how it is used, and which forms there are where one is not known', async () => {
    const cwd = folder()
    const { out } = await waneline(['chart', '--help'], { cwd })
    expect(out).toMatch(/Examples:\n {2}waneline chart /)
    const { code, err } = await waneline(['chart', TOY, '--format', 'gif'], { cwd })
    expect(code).toBe(2)
    expect(err).toContain('--format cannot be "gif". It takes png, svg, csv')
  })
})
