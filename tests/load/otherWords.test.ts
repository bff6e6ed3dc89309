import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { parseGuide } from '../../src/load/guide/parseGuide.ts'
import { lines, load } from './folder.ts'

const read = (files: Record<string, string>, guide = '') =>
  load(files, guide === '' ? {} : { guide: parseGuide(guide, 'guide.yaml') })

// What stands in the cells is worked out by hand beside each case.
describe('headings in two rows', () => {
  it('are joined where left and right stand over their measures', async () => {
    const file =
      'Client,Date,Reflex,Left,,Right,\n,,,Reps,Seconds,Reps,Seconds\nSM-1,2026-03-02,Rooting,5,30,,20\n'
    expect(lines(await read({ 'log.csv': file }), 'sessions')).toEqual([
      'SM-1,2026-03-02,,rooting,left,,5,30,,,,',
      'SM-1,2026-03-02,,rooting,right,,,20,,,,',
    ])
  })

  it('are not made of a title and the headings, nor of the headings and the first record', async () => {
    const file = 'Session,,Home,,\nClient,Date,Reflex,Side,Reps\nSM-1,2026-03-02,Rooting,L,4\n'
    const { records } = await read({ 'log.csv': file })
    expect(records.sessions.length).toBe(1)
  })
})

describe('a value above the headings', () => {
  const table = '\nDate,Reflex,Side,Reps\n2026-03-02,Rooting,L,5\n'
  const guide = 'files: [{ match: "*.csv", holds: sessions, above: { client_id: "Diary of" } }]'

  it('is what stands after its words, in the same cell or to the right', async () => {
    const found = await read(
      { 'a.csv': `Diary of: SM-7,,,\n${table}`, 'b.csv': `,Diary of,,SM-8\n${table}` },
      guide,
    )
    expect(lines(found, 'clients').map((line) => line.split(',')[0])).toEqual(['SM-7', 'SM-8'])
  })

  it('is missed with words that say what to mend', async () => {
    await expect(read({ 'a.csv': `Diaries of SM-7,,,\n${table}` }, guide)).rejects.toThrow(
      /begins with "Diary of"/,
    )
  })
})

describe('without a list of clients', () => {
  it('a totals row has none, and a heading said again is nobody', async () => {
    const file =
      'Client ID,Date,Reflex,Side,Reps\nSM-1,2026-03-02,Rooting,L,2\nClient ID,Date,Reflex,Side,Reps\nGrand total:,,,,2\n'
    const found = await read({ 'log.csv': file })
    expect(lines(found, 'clients')).toEqual(['SM-1,,,,,,,,,,,'])
    expect(lines(found, 'problems')).toEqual([
      'log.csv,2,client_id,Client ID,unknown_client,rejected',
      'log.csv,3,client_id,Grand total:,missing_value,rejected',
    ])
  })
})

describe('a guide may say', () => {
  it('that a word among the cautions is none, and a pattern for a name that is packed', async () => {
    const guide = `
files:
  - match: clients.csv
    words: { cautions: { keine: none, Haut: skin } }
  - match: log_*.csv
    name: log_{client_id}.csv
    holds: sessions`
    const found = await load(
      {
        'clients.csv': 'Client,Born,Sex,Cautions\nSM-1,2020-03-02,F,keine\nSM-2,2020-03-02,F,Haut\n',
        'log_SM-1.csv.gz': gzipSync('Date,Reflex,Reps\n2026-03-02,Moro,5\n'),
      },
      { guide: parseGuide(guide, 'guide.yaml') },
    )
    expect(found.records.clients.map((client) => client.cautions)).toEqual([[], ['skin']])
    expect(lines(found, 'sessions')).toEqual(['SM-1,2026-03-02,,moro,midline,,5,,,,,'])
    expect(found.records.problems).toEqual([])
  })

  it('date and minutes for what they are in the table, wherever it names fields', async () => {
    const file = 'Client,When,Reflex,Min.\nSM-1,2026-03-02,Moro,2\n,,Sucking,lang\n,unklar,Snout,3\n'
    const guide = `
fill_down: [client_id, date]
no_value: { date: [unklar] }
words: { minutes: { lang: 5 } }
files: [{ match: "*.csv", holds: sessions, columns: { When: date, Min.: minutes } }]`
    const found = await read({ 'log.csv': file }, guide)
    expect(lines(found, 'sessions')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,,120,,,,',
      'SM-1,2026-03-02,,sucking,midline,,,300,,,,',
    ])
    expect(lines(found, 'problems')).toEqual(['log.csv,3,done_on,unklar,missing_value,rejected'])
  })

  it('that numbers are days, counted from 1900 or 1904', async () => {
    const file = 'Client ID,Date,Reflex,Score\nSM-1,46083,Moro,2\n'
    for (const [count, day] of [
      ['from-1900', '2026-03-02'],
      ['from-1904', '2030-03-03'],
    ] as const) {
      const found = await load(
        { 'scores.csv': file },
        { guide: parseGuide(`day_numbers: ${count}`, 'g'), asOf: 30000 },
      )
      expect(lines(found, 'assessments')).toEqual([`SM-1,${day},moro,midline,2,4,`])
    }
    expect((await read({ 'scores.csv': file })).records.assessments).toEqual([])
  })
})

it('`Left` in a list of clients is the day they left', async () => {
  const found = await read({
    'c.csv': 'Client no.,Born,Joined,Left,Why left\nSM-1,2020-03-02,2025-01-01,2026-02-03,moved\n',
  })
  expect(lines(found, 'clients')).toEqual(['SM-1,2020-03-02,,,,,,2025-01-01,2026-02-03,moved,,'])
})

describe('a FHIR score', () => {
  const patient = { resourceType: 'Patient', id: 'p1', identifier: [{ value: 'SM-1' }] }
  const left = { coding: [{ system: 'http://snomed.info/sct', code: '7771000' }] }
  const read = async (observation: object, guide = '') => {
    const whole = {
      resourceType: 'Observation',
      status: 'final',
      subject: { reference: 'Patient/p1' },
      effectiveDateTime: '2026-03-02',
      code: { text: 'Rooting reflex' },
      ...observation,
    }
    const files = { 'p.json': JSON.stringify(patient), 'o.ndjson': JSON.stringify(whole) }
    const found = await load(files, guide === '' ? {} : { guide: parseGuide(guide, 'guide.yaml') })
    return [
      ...lines(found, 'assessments'),
      ...found.records.problems.map((p) => `${p.rule} ${p.value}`),
    ].filter((line) => line !== '')
  }
  const ofLeft = 'SM-1,2026-03-02,rooting,left,2,4,'

  for (const [title, observation] of [
    ['on a part of the body', { bodySite: { text: 'Left cheek' }, valueInteger: 2 }],
    ['on a half of the body', { bodySite: { text: 'Structure of left half of body' }, valueInteger: 2 }],
    [
      'with the side as an extension',
      { bodySite: { text: 'cheek', extension: [{ url: 'x', valueCodeableConcept: left }] }, valueInteger: 2 },
    ],
    [
      'as a component of its own',
      { bodySite: left, component: [{ code: { text: 'Score' }, valueInteger: 2 }] },
    ],
    ['as a component that says both', { component: [{ code: { text: 'Rooting, left' }, valueInteger: 2 }] }],
    ['as the left score', { component: [{ code: { text: 'Left score' }, valueInteger: 2 }] }],
    [
      'as one reflex of a panel',
      {
        code: { text: 'Panel' },
        bodySite: left,
        component: [{ code: { text: 'Rooting' }, valueInteger: 2 }],
      },
    ],
    [
      'as a grade in words with its number',
      { bodySite: left, valueCodeableConcept: { coding: [{ code: '2', display: 'Moderate' }] } },
    ],
    [
      'as a grade with the standard extension',
      {
        bodySite: left,
        valueCodeableConcept: {
          coding: [
            {
              code: 'LA1',
              display: 'Moderate',
              extension: [{ url: 'http://hl7.org/fhir/StructureDefinition/ordinalValue', valueDecimal: 2 }],
            },
          ],
        },
      },
    ],
    [
      'as so much of so much',
      { bodySite: left, valueRatio: { numerator: { value: 2 }, denominator: { value: 4 } } },
    ],
    [
      'of a Patient that lies within it',
      {
        subject: { reference: '#a' },
        contained: [{ resourceType: 'Patient', id: 'a', identifier: [{ value: 'SM-1' }] }],
        bodySite: left,
        valueInteger: 2,
      },
    ],
  ] as const)
    it(`is read ${title}`, async () => expect(await read(observation)).toEqual([ofLeft]))

  it('names the rater who lies within it', async () => {
    const contained = [{ resourceType: 'Practitioner', id: 'r', name: [{ given: ['A.'], family: 'V.' }] }]
    expect(
      await read({ bodySite: left, valueInteger: 2, contained, performer: [{ reference: '#r' }] }),
    ).toEqual([`${ofLeft}A. V.`])
  })

  it('is not guessed where its side is in doubt', async () => {
    for (const text of ['left?', 'left or right', 'not left'])
      expect(await read({ bodySite: { text }, valueInteger: 2 })).toEqual([`unknown_value ${text}`])
  })

  it('in a Bundle on a line of NDJSON is told, not passed over', async () => {
    const bundle = JSON.stringify({ resourceType: 'Bundle', entry: [{ resource: patient }] })
    const found = await load({ 'b.ndjson': bundle })
    expect(found.records.problems.map((p) => p.rule)).toEqual(['ragged_row'])
  })
})

describe('a log that repeats the plan, or says when it began and ended', () => {
  it('is a log: what was to be done is not what was done', async () => {
    const file =
      'Client ID,Date,Reflex,Side,Target reps,Reps\nSM-1,2026-03-02,Galant,L,20,3\nSM-1,2026-03-03,Galant,L,20,\n'
    const found = await read({ 'log.csv': file })
    expect(lines(found, 'sessions')).toEqual([
      'SM-1,2026-03-02,,spinal_galant,left,,3,,,,,',
      'SM-1,2026-03-03,,spinal_galant,left,,,,,,,',
    ])
  })

  it('is a log where Start and End hold times of day, a programme where they hold days', async () => {
    const head = 'Client ID,Date,Start,End,Reflex,Reps\n'
    const found = await read({ 'log.csv': `${head}SM-1,2026-03-02,08:00,8.10,Moro,3\n` })
    expect(lines(found, 'sessions')).toEqual(['SM-1,2026-03-02,08:00,moro,midline,,3,,,,,'])
    const planned = await read({ 'plan.csv': `${head}SM-1,2026-03-02,2026-03-03,2026-04-03,Moro,3\n` })
    expect(planned.ledger[0]?.kinds).toEqual(['programmes'])
  })
})

describe('a score in per cent', () => {
  it('is out of 100 where the heading or the guide says so, and is no score elsewhere', async () => {
    const rows = 'SM-1,2026-03-02,Moro,75%\nSM-1,2026-03-03,Moro,3\n'
    const head = 'Client ID,Date,Reflex,Score'
    const told = await read({ 's.csv': `${head} (%)\n${rows}` })
    expect(lines(told, 'assessments')).toEqual([
      'SM-1,2026-03-02,moro,midline,75,100,',
      'SM-1,2026-03-03,moro,midline,3,100,',
    ])
    const guided = await read({ 's.csv': `${head}\n${rows}` }, 'scale: 100')
    expect(lines(guided, 'assessments')).toEqual(lines(told, 'assessments'))
    const untold = await read({ 's.csv': `${head}\n${rows}` })
    expect(lines(untold, 'assessments')).toEqual(['SM-1,2026-03-03,moro,midline,3,4,'])
    expect(lines(untold, 'problems')).toEqual(['s.csv,1,score,75%,unreadable_number,rejected'])
  })
})

describe('several ids in one cell', () => {
  it('are no client, where no list of clients says otherwise', async () => {
    const cells = ['SM-4; SM-5', '"SM-4, SM-5"', 'SM-4 & SM-5', 'SM-4 and SM-5', 'SM-4 / SM-5']
    const head = 'Client ID,Date,Reflex,Reps\n'
    const found = await read({ 'log.csv': head + cells.map((id) => `${id},2026-03-02,Moro,5\n`).join('') })
    expect(lines(found, 'clients')).toEqual([''].filter(Boolean))
    expect(found.ledger[0]).toMatchObject({ records: 5, kept: 0, rejected: 5 })
    expect(lines(found, 'problems').every((line) => line.endsWith('unknown_client,rejected'))).toBe(true)
  })

  it('are not seen in codes and names that have such marks in them', async () => {
    const ids = ['2024/017', '12-34', '"Tidewell, Brid"', 'H&C 7', 'SM-1+2']
    const head = 'Client ID,Date,Reflex,Reps\n'
    const found = await read({ 'log.csv': head + ids.map((id) => `${id},2026-03-02,Moro,5\n`).join('') })
    expect(found.ledger[0]).toMatchObject({ records: 5, kept: 5 })
  })
})

describe('a list of records within each entry of a JSON file', () => {
  it('is told with the guide that reads it', async () => {
    const scores = [
      { reflex: 'Moro', score: 2 },
      { reflex: 'Snout', score: 1 },
    ]
    const file = JSON.stringify([{ client_id: 'SM-1', visits: [{ date: '2026-03-01', scores }] }])
    await expect(read({ 's.json': file })).rejects.toThrow(/entries: visits\.scores/)
    const found = await read({ 's.json': file }, 'entries: visits.scores')
    expect(lines(found, 'assessments')).toEqual([
      'SM-1,2026-03-01,moro,midline,2,4,',
      'SM-1,2026-03-01,snout,midline,1,4,',
    ])
  })
})

describe('a column for each side beside a side of the record', () => {
  it('is believed where the two agree; where they contradict each other the record is rejected', async () => {
    const rows = ['R,1,2', 'L,1,', 'L,,1', 'both,1,2', ',1,2'].map(
      (cells, k) => `SM-1,2026-03-0${k + 1},Babkin,${cells}\n`,
    )
    const found = await read({
      's.csv': `Client ID,Assessment date,Reflex,Side,Left,Right\n${rows.join('')}`,
    })
    expect(lines(found, 'problems')).toEqual([
      's.csv,1,side,R,unknown_value,rejected',
      's.csv,3,side,L,unknown_value,rejected',
    ])
    expect(lines(found, 'assessments')).toEqual([
      'SM-1,2026-03-02,babkin,left,1,4,',
      'SM-1,2026-03-04,babkin,left,1,4,',
      'SM-1,2026-03-04,babkin,right,2,4,',
      'SM-1,2026-03-05,babkin,left,1,4,',
      'SM-1,2026-03-05,babkin,right,2,4,',
    ])
  })
})

describe('what is told of a table', () => {
  it('names a column that may take a record back, since nothing is read from it', async () => {
    const file = 'Client ID,Date,Reflex,Reps,Status,Room\nSM-1,2026-03-02,Moro,5,cancelled,2\n'
    const { ledger, warnings } = await read({ 'log.csv': file })
    expect(ledger[0]!.remarks).toEqual(['columns not read: "Status", "Room"'])
    expect(warnings).toContain(
      'log.csv: every record counts, whatever its column "Status" says ("cancelled"). Leave records out of the export that it says were not done or no longer hold.',
    )
  })

  it('says what to do with columns that are lined up with spaces', async () => {
    const file = 'Client ID  Date        Reflex  Reps\nSM-1       2026-03-02  Moro       5\n'
    await expect(read({ 'log.txt': file })).rejects.toThrow(/lined up with spaces.*save it as CSV/)
  })
})
