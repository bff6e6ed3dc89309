import { describe, expect, it } from 'vitest'
import { clientCase } from '../../src/measures/index.ts'
import {
  CARE_PARTS,
  caseFigures,
  casePhaseReasons,
  casePhaseRows,
  caseSafety,
  caseWords,
  doneRows,
  findingRows,
  patientRows,
  prescribedRows,
  tellingOf,
  told,
} from '../../src/wording/index.ts'
import { log, prescribed, session } from '../measures/diary.ts'
import { client, on, recordsOf, scores } from '../measures/rows.ts'

const asOf = on('2024-06-30')
const A = client('a', '2016-06-30', {
  gestation_weeks: 38,
  sex: 'female',
  cautions: ['heart_rhythm', 'skin'],
  site: 'Heron',
  clinician: 'K. Low',
  enrolled_on: on('2023-12-01'),
  discharged_on: on('2024-06-30'),
  discharge_reason: 'moved',
  research_consent: 'no',
})
const records = recordsOf({
  clients: [A, client('bare', null, { enrolled_on: null, site: null, clinician: null })],
  assessments: [
    // Falls by 3. Baselines 4, 0, 2.25, 2 have an SD of 1.6, so without double scorings the difference is 1.96 x sqrt(2) x 1.6 x sqrt(0.2) = 2.
    ...scores('a', 'rooting', 'left', [
      ['2024-01-01', 4],
      ['2024-02-28', 4],
      ['2024-05-01', 1],
      ['2024-06-01', 1],
    ]),
    ...scores('a', 'rooting', 'right', [
      ['2024-02-28', 0],
      ['2024-06-01', 4],
    ]),
    // Between two grades; no programme before it, so the first is the baseline and nothing changed.
    ...scores('a', 'moro', 'midline', [
      ['2024-05-01', 2.25],
      ['2024-06-01', 2.25],
    ]),
    // No occasion since the baseline: cannot be judged.
    ...scores('a', 'snout', 'midline', [['2024-06-01', 1]]),
    ...scores('other', 'rooting', 'left', [['2024-02-28', 2]]),
  ],
  programmes: [
    prescribed('a', 'rooting', 'left', '2024-03-01', '2024-03-10'),
    prescribed('a', 'rooting', 'right', '2024-03-05', '2024-03-10'),
  ],
  sessions: [
    // Of 10 days: two in full, one touched, then nothing for 7 days.
    ...log('a', 'rooting', 'left', '2024-03-01', [3, 3, 1]),
    session('bare', 'moro', 'midline', '2024-06-20', { reaction: 'seizure' }),
  ],
})
const one = clientCase(records, 'a', { asOf })
const open = tellingOf(one, false, 'Case 1')
const masked = tellingOf(one, true, 'Case 1')
const is = (rows: readonly { what: string; is: string }[], what: string) =>
  rows.find((row) => row.what === what)?.is

describe('how a client is told of', () => {
  it('openly: by code and calendar', () => {
    expect(open).toEqual({ label: 'a', from: null })
    expect(told('Scored on 2024-03-05.', open).replaceAll('\u00a0', ' ')).toBe('Scored on 5 Mar 2024.')
  })

  it('masked: by a label and days from the first programme day, even where scores came before', () => {
    expect(masked).toEqual({ label: 'Case 1', from: on('2024-03-01') })
    // 29 February, since 2024 is a leap year, is the day before 1 March.
    expect(told('From 2024-02-29 to 2024-03-11.', masked)).toBe('From day -1 to day 10.')
  })

  it('masked without a programme: from the first score of any reflex, whatever the order of the series', () => {
    const early = [
      ...scores('a', 'moro', 'midline', [['2024-05-01', 2]]),
      ...scores('a', 'rooting', 'left', [['2024-01-01', 3]]),
    ]
    const without = recordsOf({ clients: [A], assessments: early })
    expect(tellingOf(clientCase(without, 'a', { asOf }), true, 'x').from).toBe(on('2024-01-01'))
    const neither = recordsOf({ clients: [A] })
    expect(tellingOf(clientCase(neither, 'a', { asOf }), true, 'x').from).toBe(on('2023-12-01'))
  })

  it('masked, never by days since 1970, which are a date as well', () => {
    const bare = clientCase(records, 'bare', { asOf })
    expect(tellingOf(bare, true, 'x').from).toBe(on('2024-06-20'))
    const left = recordsOf({ clients: [client('gone', null, { discharged_on: on('2024-06-01') })] })
    const gone = clientCase(left, 'gone', { asOf })
    expect(is(patientRows(gone, tellingOf(gone, true, 'x')), 'Discharged')).toBe('day 0')
  })
})

describe('who the client is', () => {
  it('openly, with what is not recorded said to be so', () => {
    const rows = patientRows(one, open)
    // Born 30 June 2016: 96 months on 30 June 2024, if a month counts 30.4375 days (2922 days).
    expect(is(rows, 'Age')).toBe('8 years')
    expect(is(rows, 'Born at')).toBe('38 weeks')
    expect(is(rows, 'Cautions on record')).toBe('heart rhythm, skin')
    expect(is(rows, 'Site, clinician')).toBe('Heron, K. Low')
    expect(is(rows, 'Discharged')?.replaceAll('\u00a0', ' ')).toBe('30 Jun 2024, moved')
    const bare = clientCase(records, 'bare', { asOf })
    const none = patientRows(bare, tellingOf(bare, false, ''))
    expect(is(none, 'Age')).toBe('not known')
    expect(is(none, 'Born at')).toBe('not recorded')
    expect(is(none, 'Site, clinician')).toBe('not recorded')
    expect(is(none, 'Discharged')).toBe('no')
    expect(is(none, 'Cautions on record')).toContain('not "none"')
  })

  it('under three years in months', () => {
    // Born 1 July 2021, as of 30 June 2024: 1095 days / 30.4375 = 35.98.
    const young = recordsOf({ clients: [client('y', '2021-07-01')] })
    const case_ = clientCase(young, 'y', { asOf })
    expect(is(patientRows(case_, tellingOf(case_, false, '')), 'Age')).toBe('35 months')
  })

  it('masked: no week of birth, site, clinician or day of enrolment', () => {
    const rows = patientRows(one, masked)
    expect(is(rows, 'Born at')).toBe('withheld')
    expect(rows.map((r) => r.what)).not.toContain('Site, clinician')
    expect(rows.map((r) => r.what)).not.toContain('Enrolled')
    // From 1 March to 30 June: 30 + 30 + 31 + 30 days.
    expect(is(rows, 'Discharged')).toBe('day 121, moved')
  })
})

describe('what was found', () => {
  it('is first and last score with their days, and whether the change exceeds measuring error', () => {
    const rows = findingRows(one, masked)
    expect(rows.find((r) => r.series === 'Rooting, left')).toMatchObject({
      first: '4, day -60',
      latest: '1, day 92',
      change: 'more than measuring error',
    })
    expect(rows.find((r) => r.series === 'Moro, midline')).toMatchObject({
      first: '2.25, day 61',
      change: 'no more than measuring error',
    })
    expect(rows.find((r) => r.series === 'Snout, midline')?.change).toMatch(/no change to judge\.$/)
  })

  it('is counted at the head: lower, higher, and what cannot be judged', () => {
    const [lower, dose, reactions] = caseFigures(one)
    expect(lower).toMatchObject({
      value: '1 of 3',
      note: 'reflexes and sides that can be judged; 1 higher by more, 1 cannot be judged. It may be growing up all the same.',
    })
    // 16 line-days, left 1 + 1 + 1/3 of 10 and right 0 of 6: 2.333 / 16. Logged days are 1 to 3 March, before the right line: 2.333 / 3.
    expect(dose!.value).toBe('15 % to 78 %')
    expect(reactions!.value).toBe('0')
  })

  it('has the non-overlap of all pairs', () => {
    // A: 4, 4. B: 1, 1. All 4 pairs are lower in B.
    const left = casePhaseRows(one).find((r) => r.series === 'Rooting, left')!
    expect(left).toMatchObject({ scores_before: 2, scores_after: 2 })
    expect(left.later_is_lower).toMatch(/^1\.00( \(0\.\d\d to 1\.00\))?$/)
    // No record says that the start was drawn at random: no column of tests, but the reason.
    expect(left).not.toHaveProperty('start_drawn_at_random')
    expect(casePhaseReasons(one)).toContain('drawn at random')
  })
})

describe('the programme', () => {
  it('as prescribed and as done, a row a line', () => {
    expect(prescribedRows(one, masked).map((r) => [r.line, r.from, r.to])).toEqual([
      ['Rooting, left', 'day 0', 'day 9'],
      ['Rooting, right', 'day 4', 'day 9'],
    ])
    expect(doneRows(one)).toMatchObject([
      {
        line: 'Rooting, left',
        line_days: 10,
        // (1 + 1 + 1/3) / 10 of all days, / 3 of the days with a diary; 2 of 10 in full, 3 of 10 touched.
        dose_as_logged: '23 %',
        dose_on_logged_days: '78 %',
        days_in_full: '20 %',
        days_touched: '30 %',
        longest_gap: 7,
      },
      { line: 'Rooting, right', line_days: 6, dose_as_logged: '0 %', longest_gap: 6 },
    ])
  })

  it('has what a person must look at today apart from what is known', () => {
    const bare = clientCase(records, 'bare', { asOf })
    const said = caseSafety(bare, tellingOf(bare, true, 'x'))
    expect(said).toHaveLength(1)
    expect(said[0]).toMatchObject({ title: 'Today', tone: 'urgent' })
    expect(said[0]!.lead).toMatch(/seizure.*day 0/i)
    const later = clientCase(records, 'bare', { asOf, since: on('2024-06-21') })
    expect(caseSafety(later, tellingOf(later, true, 'x'))).toMatchObject([{ title: 'Known' }])
  })
})

describe('what the clinician wrote', () => {
  it('is found under a part’s name, its title, or a heading that begins with its name, in any case', () => {
    // Headings of the CARE checklist (Gagnier et al. 2013).
    const { words, unknown } = caseWords(
      [
        '# Patient',
        'Came with *pain*.',
        '',
        '## CLINICAL FINDINGS',
        'Stiff.',
        '## Outcomes, as I saw them',
        'Better.',
        '# Patient’s perspective',
        'Glad.',
        '## Timelines',
        'No part.',
      ].join('\r\n'),
    )
    expect(words).toEqual({
      patient: 'Came with *pain*.',
      findings: 'Stiff.',
      perspective: 'Glad.',
    })
    expect(unknown).toEqual(['Outcomes, as I saw them', 'Timelines'])
    for (const { part, title } of CARE_PARTS) {
      expect(caseWords(`# ${part}\nx`).words).toEqual({ [part]: 'x' })
      expect(caseWords(`# ${title}\nx`).words).toEqual({ [part]: 'x' })
      expect(caseWords(`# ${part} of this case\nx`).words).toEqual({ [part]: 'x' })
    }
  })
})
