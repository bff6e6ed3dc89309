import { afterEach, describe, expect, it, vi } from 'vitest'
import { z } from 'zod'
import { gather, parseFlags } from '../../src/commands/run.ts'
import { UserError } from '../../src/errors.ts'
import { beginCollecting, type Collector } from '../../src/notebook/collector.ts'
import { formNames } from '../../src/notebook/formats/index.ts'
import { parameters } from '../../src/notebook/parameters.ts'

const SHAPE = {
  count: z.number().int().max(9).default(3).describe('how many'),
  names: z.array(z.string()).default(['a']),
  loud: z.boolean().default(false),
  since: z.string().describe('first day'),
}

function values(words: readonly string[]): { readonly given: object; readonly page: Collector } {
  const page: Collector = {
    ...gather(parseFlags(words), undefined),
    notebook: '/n.ts',
    describeOnly: false,
    keep: null,
    withheld: null,
    shown: [],
    inputs: [],
    declared: [],
    values: {},
  }
  beginCollecting(page)
  return { given: parameters(SHAPE), page }
}

afterEach(() => vi.unstubAllEnvs())

describe('parameters', () => {
  it('takes flags in both spellings, lists by comma or as JSON, switches without a value', () => {
    expect(values(['--since=x', '--count', '7', '--names', 'p, q', '--loud']).given).toEqual({
      count: 7,
      names: ['p', 'q'],
      loud: true,
      since: 'x',
    })
    expect(values(['--since', 'y', '--names', '["p","q,r"]']).given).toEqual({
      count: 3,
      names: ['p', 'q,r'],
      loud: false,
      since: 'y',
    })
  })

  it('gives the page texts that bring the same values again', () => {
    const { given, page } = values(['--since', 'x', '--names', 'p,q', '--loud', '--count', '4'])
    const words = Object.entries(page.values).map(([name, value]) => `--${name}=${value}`)
    expect(values(words).given).toEqual(given)
  })

  it.each([
    [['--since', 'x', '--count', 'many'], /^--count cannot be "many": .*expected number/],
    [['--since', 'x', '--count', '12'], /^--count cannot be 12: /],
    [
      ['--since', 'x', '--cuont', '1'],
      /^--cuont is no parameter of this notebook. Did you mean --count\? It has: --count, --names/,
    ],
    [['--since', 'x', '--formt', 'md'], /Did you mean --format\?/],
    [['--since', 'x', '--wholly', '1'], /of this notebook. It has:/],
    [[], /^--since is missing: first day. Give it as --since or WANELINE_SINCE.$/],
    [['stray'], /^Cannot read "stray". Parameters are given as --name value/],
  ])('names what is wrong in %j', (words, message) => {
    expect(() => values(words)).toThrow(UserError)
    expect(() => values(words)).toThrow(message)
  })

  it('names the variable of the environment that is wrong', () => {
    vi.stubEnv('WANELINE_COUNT', 'x')
    expect(() => values(['--since', 'x'])).toThrow(/^WANELINE_COUNT cannot be "x"/)
  })

  it('names a parameter file that is not there', () => {
    expect(() => gather({}, '/nowhere/p.yaml')).toThrow(/Cannot read the parameter file \/nowhere\/p.yaml/)
  })
})

describe('formNames', () => {
  it('takes each form once and refuses what it does not know', () => {
    expect(formNames('html, IPYNB,html')).toEqual(['html', 'ipynb'])
    expect(() => formNames('exe')).toThrow(/--format cannot be "exe". It takes one or more of html, ipynb/)
    expect(() => formNames(',')).toThrow(/--format cannot be ","/)
  })
})
