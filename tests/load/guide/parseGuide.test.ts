import { readFile } from 'node:fs/promises'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../../src/errors.ts'
import { parseGuide, readGuide } from '../../../src/load/guide/parseGuide.ts'

const messages = (yaml: string): string[] => {
  try {
    parseGuide(yaml, 'guide.yaml')
  } catch (error) {
    expect(error).toBeInstanceOf(UserError)
    return (error as UserError).message.split('\n').slice(1)
  }
  return []
}

describe('parseGuide', () => {
  it('takes every value as it is typed', () => {
    const guide = parseGuide(
      'no_value: [no, ~, 007, 1.0, true]\nwords: {score: {0x1: 1, 01: 2, yes: 0.5}}\ncolumns: {2026: ignore, "": note}',
      'g',
    )
    expect(guide.no_value).toEqual(['no', '~', '007', '1.0', 'true'])
    expect(guide.words).toEqual({ score: { '0x1': 1, '01': 2, yes: 0.5 } })
    expect(guide.columns).toEqual({ '2026': 'ignore', '': 'note' })
  })

  it('takes our own words in everyday writing', () => {
    const guide = parseGuide(
      'columns: {A: Client ID, B: {field: Reps, target: Spinal Galant, side: LEFT}}\nwords: {target: {g: spinal-galant}}',
      'g',
    )
    expect(guide.columns).toEqual({
      A: 'client_id',
      B: { field: 'reps', target: 'spinal_galant', side: 'left' },
    })
    expect(guide.words).toEqual({ target: { g: 'spinal_galant' } })
  })

  it('nothing, or only comments, is a guide that says nothing', () => {
    expect(parseGuide('', 'g')).toEqual({})
    expect(parseGuide('# later\n', 'g')).toEqual({})
    expect(parseGuide('{}', 'g')).toEqual({})
  })

  // Each guide, and the line, the key and the words that its message must have.
  const faults: readonly (readonly [string, string, string, ...string[]])[] = [
    ['datez: x', 'guide.yaml:1: datez', '"datez" is not known here', 'Did you mean "dates"?'],
    [
      '\n\nfiles:\n  - match: a\n    holds: assesments',
      'guide.yaml:5: files.1.holds',
      'Did you mean "assessments"?',
    ],
    ['files:\n  - match: a\n  - holds: clients', 'guide.yaml:3: files.2.match', 'must be a text'],
    [
      'columns:\n  Strokes: rep',
      'guide.yaml:2: columns.Strokes',
      'Did you mean "reps"? Near it: reps_per_session',
      'All 38 are listed in datasets/reading-guide.md, under "What a guide can say".',
    ],
    ['columns:\n  Date: [ignore, don_on]', 'guide.yaml:2: columns.Date', 'Did you mean "done_on"?'],
    ['columns:\n  L: {field: score, sid: left}', 'guide.yaml:2: columns.L', '"sid"', 'Allowed: field, '],
    ['columns:\n  L: {side: left}', 'guide.yaml:2: columns.L.field: is missing', 'All 38 are listed'],
    [
      'words:\n  side:\n    l: lft',
      'guide.yaml:3: words.side.l',
      'Did you mean "left"?',
      'left, right, midline, both',
    ],
    ['words:\n  sid: {}', 'guide.yaml:2: words.sid', 'Did you mean "side"?'],
    ['words:\n  score: {a: two}', 'guide.yaml:2: words.score.a', '"two" must be a number'],
    ['words:\n  target: {a: knee_jerk}', 'guide.yaml:2: words.target.a', 'ear_stimulation'],
    ['constants:\n  done_by: mum', 'guide.yaml:2: constants.done_by', 'clinician, family, self'],
    ['dates: dmy', 'guide.yaml:1: dates', 'day-month-year, month-day-year, year-month-day'],
    ['dates:\n  born: day-month-year', 'guide.yaml:2: dates.born', 'birth_date'],
    ['century: 20', 'guide.yaml:1: century', 'as 1900 or 2000'],
    ['scale: four', 'guide.yaml:1: scale', '"four" must be the top of the scale'],
    ['heading_row: 0', 'guide.yaml:1: heading_row', 'counted from 1'],
    ['decimal: ","', 'guide.yaml:1: decimal', 'point, comma'],
    ['name: diary.csv', 'guide.yaml:1: name', 'diary_{client_id}.csv'],
    ['name: "{client}.csv"', 'guide.yaml:1: name', '"client" is not known here. Near it: client_id'],
    [
      'wide:\n  exercises:\n    Palm: palm_grasp',
      'guide.yaml:3: wide.exercises.Palm',
      'Did you mean "palmar_grasp"?',
    ],
    ['wide: {sides: {l: left}}', 'guide.yaml:1: wide.exercises', 'must be a list of keys and values'],
    ['units: {secs: minutes}', 'guide.yaml:1: units.secs', 'Allowed: seconds'],
    ['no_value: nt', 'guide.yaml:1: no_value', 'must be a list'],
    ['fill_down: client_id', 'guide.yaml:1: fill_down', 'must be a list'],
    ['files: {match: a}', 'guide.yaml:1: files', 'must be a list, each entry begun with `- match: '],
    ['columns:', 'guide.yaml:1: columns', 'must be a list of keys and values'],
    ['- a', 'guide.yaml:1: ', 'must be a list of keys and values'],
    ['dates: [', 'guide.yaml:1: ', 'this is not YAML'],
    ['columns: {A: note}\ncolumns: {B: note}', 'guide.yaml:2: ', 'Map keys must be unique'],
    ['a: &a [x]\nb: *c', 'guide.yaml:1: ', 'leads nowhere'],
  ]
  for (const [yaml, where, ...parts] of faults)
    it(`${JSON.stringify(yaml)} is told at ${where}`, () => {
      const [first] = messages(yaml)
      expect(first).toContain(where)
      for (const part of parts) expect(first).toContain(part)
    })

  it('tells every fault, in order of lines, up to twenty', () => {
    const yaml = Array.from({ length: 25 }, (_, i) => `key${i}x: 1`).join('\n')
    // Unknown keys of one list are one fault with a sentence for each key.
    expect(
      messages(yaml)
        .join(' ')
        .match(/is not known here/g),
    ).toHaveLength(25)
    const many = `columns:\n${Array.from({ length: 25 }, (_, i) => `  H${i}: zzz`).join('\n')}`
    const told = messages(many)
    expect(told).toHaveLength(21)
    expect(told[0]).toContain('guide.yaml:2: columns.H0')
    expect(told[19]).toContain('guide.yaml:21: columns.H19')
    expect(told[20]).toBe('and 5 more')
  })

  it('hostile guides are faults, not crashes', () => {
    const bomb = `a: &a [x,x,x,x,x,x,x,x,x]\n${[...'bcdefghij']
      .map((c, i) => `${c}: &${c} [${Array(9).fill(`*${'abcdefghij'[i]}`).join()}]`)
      .join('\n')}`
    for (const yaml of [
      bomb,
      '['.repeat(5000),
      'x'.repeat(2_000_000),
      '\0',
      '__proto__: {}',
      'constructor: x',
      '? [a]\n: b',
    ])
      expect(readGuide(yaml).issues.length, yaml.slice(0, 30)).toBeGreaterThan(0)
  })

  it('a guide damaged anywhere is a guide or a list of faults with lines, never a crash', async () => {
    const whole = await readFile(new URL('../guides/04-workbook.yaml', import.meta.url), 'utf8')
    expect(readGuide(whole).issues).toEqual([])
    const marks = [
      '"',
      "'",
      ':',
      '\n',
      '\t',
      '{',
      '}',
      '[',
      ']',
      '&',
      '*',
      '!',
      '|',
      '>',
      '%',
      '#',
      '- ',
      '\0',
      '? ',
      '<<: ',
    ]
    for (let at = 0; at < whole.length; at += 7) {
      const mark = marks[at % marks.length]!
      for (const text of [
        whole.slice(0, at),
        whole.slice(0, at) + mark + whole.slice(at),
        whole.slice(0, at) + whole.slice(at + 3),
      ]) {
        const { guide, issues } = readGuide(text)
        expect(guide === null).toBe(issues.length > 0)
        for (const { line } of issues) expect(line >= 1 && line <= text.split('\n').length).toBe(true)
      }
    }
  })
})
