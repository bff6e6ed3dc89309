import { describe, expect, it } from 'vitest'
import { type AttentionKind, type AttentionResult, seriesStatuses } from '../../src/measures/index.ts'
import {
  ATTENTION_GROUPS,
  attentionCounts,
  attentionEntries,
  caseloadFilters,
  changeRows,
  exclusionRows,
  problemRows,
  publishedRows,
  readableDates,
  readingSentence,
  siteParts,
  statusRows,
  todayNotice,
} from '../../src/wording/index.ts'
import { client, on, recordsOf, scores } from '../measures/rows.ts'

const plain = (text: string): string => text.replaceAll('\u00a0', ' ')

describe('dates in a sentence', () => {
  it('are as people write them, each month by its English name, on one line', () => {
    const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
    months.forEach((name, i) => {
      const iso = `2024-${String(i + 1).padStart(2, '0')}-09`
      expect(readableDates(`From ${iso}.`)).toBe(`From 9\u00a0${name}\u00a02024.`)
    })
  })
})

describe('the attention list', () => {
  const reason = (kind: AttentionKind, evidence: string) =>
    ({ client_id: 'a', kind, order: 0, evidence, seriesIds: [], safetyKind: null }) as const
  const listed = (...reasons: ReturnType<typeof reason>[]) =>
    ({
      client_id: 'a',
      clinician: 'K. Low',
      site: null,
      kind: reasons[0]!.kind,
      reasons,
      seriesIds: [],
    }) as const
  const result = (...entries: ReturnType<typeof listed>[]) => ({ entries }) as unknown as AttentionResult
  const words = (...reasons: ReturnType<typeof reason>[]) =>
    attentionEntries(result(listed(...reasons)), { ofClient: () => ({}) })[0]!

  it('tells the most urgent reason first and the others below, with dates as people write them', () => {
    const entry = words(
      reason('look today', 'Seizure on 2024-03-05.'),
      reason('rising', 'Moro: 1 to 3 on 2024-03-06.'),
    )
    expect(entry).toMatchObject({
      title: 'a',
      under: 'K. Low',
      tone: 'urgent',
      id: 'client-a',
      href: '#series-of-a',
    })
    expect(plain(entry.lead)).toBe('Seizure on 5 Mar 2024.')
    expect(entry.lines.map(plain)).toEqual(['Rising: Moro: 1 to 3 on 6 Mar 2024.'])
  })

  it('tells several of a kind that comes in numbers as one line, and one or another kind by its evidence', () => {
    const entry = words(
      reason('returned', 'Snout, midline: 2.'),
      reason('stuck', 'Moro, midline: no change.'),
      reason('rising', 'Babkin, left: 1 to 3.'),
      reason('rising', 'Babkin, right: 1 to 3.'),
      reason('stuck', 'Rooting, left: no change.'),
      reason('not started', 'Rooting, right: no session.'),
    )
    expect(entry.lines).toEqual([
      'Stuck: 2 series (Moro, midline; Rooting, left)',
      'Rising: Babkin, left: 1 to 3.',
      'Rising: Babkin, right: 1 to 3.',
      'Not started: Rooting, right: no session.',
    ])
    expect(entry.tone).toBe('caution')
    expect(words(reason('overdue', 'x')).tone).toBe('plain')
  })

  // Amendments: "Integrated" is for information, never "programme may be reviewed".
  it('leaves out who has only what is for information', () => {
    const found = attentionEntries(
      result(listed(reason('integrated', 'Moro: gone.')), listed(reason('stuck', 'x'))),
      {
        ofClient: () => ({}),
      },
    )
    expect(found.map((e) => e.flag)).toEqual(['Stuck'])
    expect(ATTENTION_GROUPS.map((g) => g.flag)).not.toContain('Integrated')
    expect(ATTENTION_GROUPS[0]).toMatchObject({ flag: 'To be looked at today', note: '' })
    expect(ATTENTION_GROUPS.slice(1).every((g) => g.note !== '')).toBe(true)
  })

  it('counts kinds that somebody has', () => {
    const counts = { 'look today': 2, stuck: 0, overdue: 1 }
    expect(attentionCounts({ counts } as unknown as AttentionResult).map((c) => [c.label, c.value])).toEqual([
      ['To be looked at today', '2'],
      ['Not seen', '1'],
    ])
  })

  it('says first whether somebody must be looked at today', () => {
    const today = listed(reason('look today', 'x'))
    expect(todayNotice(result())).toMatchObject({
      tone: 'plain',
      title: expect.stringMatching(/^Nothing on record/),
    })
    expect(todayNotice(result(listed(reason('stuck', 'x'))))).toMatchObject({ tone: 'plain' })
    expect(todayNotice(result(today))).toMatchObject({
      tone: 'urgent',
      title: '1 client has something on record that a licensed clinician should look at today',
    })
    expect(todayNotice(result(today, today)).title).toMatch(/^2 clients have something/)
  })
})

describe('the account of what was read', () => {
  const problem = (rule: string, count: number, examples: object[] = []) => ({ rule, count, examples })
  const file = (name: string, records: number, kept: number, problems: object[]) =>
    ({
      file: name,
      kinds: ['sessions'],
      records,
      kept,
      rejected: records - kept,
      rows: kept,
      problems,
    }) as never

  it('has a row a rule over all files, most frequent first, ties by name, with the first example', () => {
    const rows = problemRows([
      file('a.csv', 9, 6, [
        problem('unknown_value', 2, [{ record: 3, line: 4, field: 'side', value: 'front' }]),
        problem('ragged_row', 1, [{ record: 7, line: null, field: '', value: '' }]),
      ]),
      file('b.csv', 9, 5, [
        problem('missing_value', 3, [{ record: 1, line: 2, field: 'side', value: '' }]),
        problem('unknown_value', 1, [{ record: 9, line: 10, field: 'side', value: 'back' }]),
      ]),
    ])
    expect(rows.map(({ rule, count, example }) => [rule, count, example])).toEqual([
      ['missing_value', 3, 'b.csv, line 2'],
      ['unknown_value', 3, 'a.csv, line 4: front'],
      ['ragged_row', 1, 'a.csv, record 7'],
    ])
  })

  // records.md: "records read = records kept + records rejected".
  it('adds up in a sentence, one record being one', () => {
    expect(readingSentence([file('a', 9, 6, []), file('b', 4, 4, [])])).toMatch(
      /^13 records read = 10 kept \+ 3 rejected\./,
    )
    expect(readingSentence([file('a', 1, 1, [])])).toMatch(/^1 record read = 1 kept \+ 0 rejected\./)
  })
})

describe('a figure beside what was published', () => {
  it('is the same within half a unit of the last printed digit, above or below', () => {
    const of = (printed: string, value: number | null) =>
      publishedRows('x', { f: printed }, { f: value })[0]!.verdict
    const same = 'same at the printed precision'
    expect([1.234, 1.226, 1.225, 1.2349].map((v) => of('1.23', v))).toEqual([same, same, same, same])
    expect([1.236, 1.2249, 0, -1.23].map((v) => of('1.23', v))).toEqual(Array(4).fill('differs'))
    // A printed trailing zero is a digit.
    expect(of('1.20', 1.21)).toBe('differs')
    expect(of('1.2', 1.21)).toBe(same)
    expect(of('7', 7.4)).toBe(same)
    expect(of('7', null)).toBe('differs')
  })
})

describe('tables of a page', () => {
  const records = recordsOf({
    clients: [
      client('b', null, { site: 'Plover' }),
      client('a', null, { site: 'Heron' }),
      client('c', null, { site: null }),
    ],
    assessments: [
      ...scores('a', 'moro', 'midline', [['2024-01-01', 3]]),
      ...scores('a', 'rooting', 'left', [['2024-01-01', 2]]),
      ...scores('b', 'moro', 'midline', [['2024-01-01', 1]]),
    ],
  })
  const statuses = seriesStatuses(records, { asOf: on('2024-06-30') })

  it('have the anchor of a client at the first of its series only', () => {
    const rows = statusRows(statuses)
    expect(rows.map((r) => [r.client, r.reflex, r.first, r.occasions])).toEqual([
      ['a', 'Moro', 3, 1],
      ['a', 'Rooting', 2, 1],
      ['b', 'Moro', 1, 1],
    ])
    expect(rows.map((r) => r.id === `series-of-${r.client}`)).toEqual([true, false, true])
  })

  it('lose nobody between who could have entered and who was analysed', () => {
    expect(exclusionRows({ enrolled: 9, n: 6, exclusions: [{ reason: 'age unknown', count: 3 }] })).toEqual([
      { what: 'could have entered', count: 9 },
      { what: 'left out: age unknown', count: 3 },
      { what: 'analysed', count: 6 },
    ])
  })

  it('take a caseload site by site, in alphabetical order, and one site as one', () => {
    expect(siteParts(records).map(([name, part]) => [name, part.clients.map((c) => c.client_id)])).toEqual([
      ['All sites', ['b', 'a', 'c']],
      ['Heron', ['a']],
      ['Plover', ['b']],
    ])
    const one = recordsOf({ clients: [client('a', null, { site: 'Heron' })] })
    expect(siteParts(one).map(([name]) => name)).toEqual(['All sites'])
  })

  it('are filtered by site, clinician, reflex and age, what is not recorded last', () => {
    const { dimensions, ofClient, ofSeries } = caseloadFilters(records, { asOf: on('2024-06-30'), statuses })
    const values = Object.fromEntries(dimensions.map((d) => [d.name, d.values]))
    expect(values.Site).toEqual(['Heron', 'Plover', 'not recorded'])
    expect(values.Reflex?.toSorted()).toEqual(['Moro', 'Rooting'])
    expect(ofClient('a')).toMatchObject({ Site: 'Heron', Reflex: ['Moro', 'Rooting'] })
    // Nobody scored c; an unknown client is about nothing.
    expect(ofClient('c')).toMatchObject({ Site: 'not recorded', Reflex: [] })
    expect([ofClient(null), ofClient('nobody')]).toEqual([{}, {}])
    expect(ofSeries('b', 'Moro')).toMatchObject({ Site: 'Plover', Reflex: 'Moro' })
  })

  it('print p to three digits, and what is smaller as smaller', () => {
    const row = (pHolm: number | null) =>
      changeRows([
        { label: 'moro', pHolm, effect: { notComputed: '' }, improved: { notComputed: '' } } as never,
      ])[0]!
    expect([0.0004, 0.001, 0.0126, 1, null].map((p) => row(p).p_holm)).toEqual([
      '< 0.001',
      '0.001',
      '0.013',
      '1.000',
      '',
    ])
    expect(row(1)).toMatchObject({ what: 'Moro', g: null, g_95: '', improved: '' })
  })
})
