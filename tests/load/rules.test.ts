import { describe, expect, it } from 'vitest'
import { lines, load, sessionsOf } from './folder.ts'

// Every case below is reckoned by hand from the contract of the records.
const LOG = 'Client ID,Date,Time,Target,Side,Reps,Reaction,Note,Record ID'
const log = (...rows: string[]): string => `${[LOG, ...rows].join('\n')}\n`
const problems = async (files: Record<string, string>): Promise<string[]> =>
  lines(await load(files), 'problems').map((line) => line.replace(/"/g, ''))

describe('one rejection a record, in the order of the contract', () => {
  it.each([
    ['SM-x,soon,,Foo,front,5,,,', 'unknown_client'],
    ['SM-1,soon,,Foo,front,5,,,', 'unknown_value'],
    ['SM-1,soon,,Galant,front,5,,,', 'unknown_value'],
    ['SM-1,soon,,Galant,L,5,,,', 'unreadable_date'],
    [',soon,,Galant,L,5,,,', 'missing_value'],
    ['SM-1,soon', 'ragged_row'],
  ])('%s: %s', async (row, rule) => {
    const clients = 'Client ID,Date of birth,Sex\nSM-1,2020-01-01,F\n'
    const found = await problems({ 'clients.csv': clients, 'log.csv': log(row) })
    expect(found).toHaveLength(1)
    expect(found[0]).toContain(`,${rule},rejected`)
  })

  it('empties what a session can do without, and keeps it', async () => {
    const loaded = await load({ 'log.csv': log('SM-1,2026-03-01,25:00,Galant,L,ten,fit?,,') })
    expect(lines(loaded, 'problems')).toEqual([
      'log.csv,1,done_at,25:00,unreadable_date,emptied',
      'log.csv,1,reaction,fit?,unknown_value,emptied',
      'log.csv,1,reps,ten,unreadable_number,emptied',
    ])
    expect(lines(loaded, 'sessions')).toEqual(['SM-1,2026-03-01,,spinal_galant,left,,,,,,,'])
    expect(loaded.records.unreadReactions).toEqual([
      { file: 'log.csv', record: 1, value: 'fit?', why: 'unreadable', client_id: 'SM-1', done_on: 20513 },
    ])
  })

  it('notes a reaction on a session that was rejected', async () => {
    const loaded = await load({
      'log.csv': log('SM-1,soon,,Galant,L,5,seizure,,', 'SM-1,soon,,Galant,L,5,none,,'),
    })
    expect(loaded.records.unreadReactions?.map((u) => [u.record, u.value, u.why, u.done_on])).toEqual([
      [1, 'seizure', 'session rejected', null],
    ])
  })
})

describe('sessions that stand twice', () => {
  const row = 'SM-1,2026-03-01,,Galant,L,5,,,'
  const timed = 'SM-1,2026-03-01,08:00,Galant,L,5,,,'

  it('stay within a file where no time tells them apart', async () => {
    expect(sessionsOf(await load({ 'a.csv': log(row, row, row) }))).toHaveLength(3)
  })
  it('go within a file where the time is the same', async () => {
    expect(await problems({ 'a.csv': log(timed, timed) })).toEqual(['a.csv,2,,,duplicate_row,rejected'])
  })
  it('count as often as in the file that has them most often', async () => {
    const loaded = await load({ 'a.csv': log(row, row), 'b.csv': log(row, row, row), 'c.csv': log(row) })
    expect(sessionsOf(loaded)).toHaveLength(3)
    expect(loaded.ledger.map((e) => [e.records, e.kept, e.rejected])).toEqual([
      [2, 2, 0],
      [3, 1, 2],
      [1, 0, 1],
    ])
  })
  it('are one record where both sides are meant', async () => {
    const both = 'SM-1,2026-03-01,,Galant,both,5,,,'
    const loaded = await load({ 'a.csv': log(both), 'b.csv': log(both) })
    expect(sessionsOf(loaded).map((s) => s.side)).toEqual(['left', 'right'])
    expect(loaded.ledger.map((e) => e.rows)).toEqual([2, 0])
  })
  it('are told by the record id of the source, whatever the file', async () => {
    const a = 'SM-1,2026-03-01,,Galant,L,5,,,R1'
    const changed = 'SM-1,2026-03-01,,Galant,L,6,,,R1'
    const other = 'SM-1,2026-03-01,,Galant,L,5,,,R2'
    expect(await problems({ 'a.csv': log(a, other), 'b.csv': log(a) })).toEqual([
      'b.csv,1,,,duplicate_row,rejected',
    ])
    const conflicting = await problems({ 'a.csv': log(a, a), 'b.csv': log(changed) })
    expect(conflicting.map((p) => p.split(',').slice(0, 2).join())).toEqual(['a.csv,1', 'a.csv,2', 'b.csv,1'])
    expect(conflicting.every((p) => p.includes('conflicting_duplicate'))).toBe(true)
  })
  it('are different where only the note differs, letter for letter', async () => {
    const files = {
      'a.csv': log('SM-1,2026-03-01,08:00,Galant,L,5,,a ,', 'SM-1,2026-03-01,08:00,Galant,L,5,,a,'),
    }
    expect(sessionsOf(await load(files)).map((s) => s.note)).toEqual(['a ', 'a'])
  })
})

describe('scores that stand twice', () => {
  const scores = (...rows: string[]): string =>
    `${['Client ID,Assessment date,Reflex,Side,Score,Rater', ...rows].join('\n')}\n`
  it('stand once where equal, not at all where they differ', async () => {
    const found = await problems({
      'a.csv': scores('SM-1,2026-03-01,Moro,,2,A', 'SM-1,2026-03-01,Moro,,2,A', 'SM-1,2026-03-01,Moro,,3,B'),
      'b.csv': scores('SM-1,2026-03-01,Moro,midline,1,B'),
    })
    expect(found).toEqual([
      'a.csv,2,,,duplicate_row,rejected',
      'a.csv,3,,,conflicting_duplicate,rejected',
      'b.csv,1,,,conflicting_duplicate,rejected',
    ])
  })
  it('keeps the side of "both" that is new', async () => {
    const loaded = await load({
      'a.csv': scores('SM-1,2026-03-01,Galant,L,2,A', 'SM-1,2026-03-01,Galant,both,2,A'),
    })
    expect(lines(loaded, 'problems')).toEqual(['a.csv,2,,,duplicate_row,kept'])
    expect(lines(loaded, 'assessments')).toHaveLength(2)
  })
})

describe('clients', () => {
  const clients = (...rows: string[]): string =>
    `${['Client ID,Date of birth,Sex,Discharged on', ...rows].join('\n')}\n`
  it('stand once where equal; with differing facts none can be chosen', async () => {
    const loaded = await load({
      'a.csv': clients('SM-1,2020-01-01,F,', 'SM-2,2020-01-01,F,'),
      'b.csv': clients('SM-1,2020-01-01,F,', 'SM-2,2020-01-01,F,2026-01-01'),
    })
    expect(loaded.records.clients.map((c) => c.client_id)).toEqual(['SM-1'])
    expect(lines(loaded, 'problems')).toEqual([
      'a.csv,2,,,conflicting_duplicate,rejected',
      'b.csv,1,,,duplicate_row,rejected',
      'b.csv,2,,,conflicting_duplicate,rejected',
    ])
  })
  it('are made of the ids that are seen where no file lists them', async () => {
    const loaded = await load({ 'log.csv': log('SM-2,2026-03-01,,Moro,,5,,,', 'SM-1,soon,,Moro,,5,,,') })
    expect(lines(loaded, 'clients')).toEqual(['SM-1,,,,,,,,,,,', 'SM-2,,,,,,,,,,,'])
  })
  it('lose a date that cannot be', async () => {
    const loaded = await load({ 'a.csv': clients('SM-1,2030-01-01,F,', 'SM-2,2020-01-01,F,2019-01-01') })
    expect(lines(loaded, 'problems')).toEqual([
      'a.csv,1,birth_date,2030-01-01,future_date,emptied',
      'a.csv,2,discharged_on,2019-01-01,date_before_birth,emptied',
    ])
  })
})

describe('programme lines', () => {
  const plan = (...rows: string[]): string =>
    `${['Client ID,Target,Side,Sessions per day,Reps per session,Minutes per session,Start date,End date', ...rows].join('\n')}\n`
  it('need a day, sessions and a dose; a planned end may lie ahead', async () => {
    const loaded = await load({
      'plan.csv': plan(
        'SM-1,Galant,L,2,,1.5,2026-03-01,2027-01-01',
        'SM-1,Galant,L,2,,,2026-03-01,',
        'SM-1,Galant,L,,5,,2026-03-01,',
        'SM-1,Galant,L,2,5,,2027-03-01,',
        'SM-1,Galant,L,2,5,,2026-03-01,soon',
        'SM-1,Galant,L,2,ten,60,2026-03-01,',
      ),
    })
    expect(lines(loaded, 'programmes')).toEqual([
      'SM-1,spinal_galant,left,,2,,90,,2026-03-01,2027-01-01',
      'SM-1,spinal_galant,left,,2,,3600,,2026-03-01,',
    ])
    expect(lines(loaded, 'problems')).toEqual([
      'plan.csv,2,reps_per_session,,missing_value,rejected',
      'plan.csv,3,sessions_per_day,,missing_value,rejected',
      'plan.csv,4,starts_on,2027-03-01,future_date,rejected',
      'plan.csv,5,ends_on,soon,unreadable_date,rejected',
      'plan.csv,6,reps_per_session,ten,unreadable_number,emptied',
    ])
  })
})

describe('shapes', () => {
  it('reads paired left and right columns', async () => {
    const wide =
      'Client ID,Assessment date,Reflex,Score left,Score right\nSM-1,2026-03-01,Galant,2,3\nSM-1,2026-03-02,Galant,,1\nSM-1,2026-03-03,Galant,,\n'
    const loaded = await load({ 'a.csv': wide })
    expect(lines(loaded, 'assessments')).toEqual([
      'SM-1,2026-03-01,spinal_galant,left,2,4,',
      'SM-1,2026-03-01,spinal_galant,right,3,4,',
      'SM-1,2026-03-02,spinal_galant,right,1,4,',
    ])
    expect(lines(loaded, 'problems')).toEqual(['a.csv,3,score,,missing_value,rejected'])
  })

  it('reads a wide visit sheet by its guide, exercise and side in any order', async () => {
    const guide = [
      'files:',
      '  - match: visits/*.csv',
      '    holds: assessments',
      '    name: visits/{client_id}.csv',
      '    dates: month-day-year',
      '    wide:',
      '      plain_number: score',
      '      exercises: {Galant: spinal_galant, Palm grasp: palmar_grasp, Startle: {target: moro, side: midline}}',
      '    no_value: {score: [nt]}',
    ].join('\n')
    const files = {
      'guide.yaml': guide,
      'visits/SM-7.csv':
        'Visit date,Galant (L),R - Galant,Left palm grasp,Startle,Remarks\n3/4/2026,2,nt,0,1.5,fine\n3/5/2026,2,5,,,\n',
    }
    const loaded = await load(files)
    expect(lines(loaded, 'assessments')).toEqual([
      'SM-7,2026-03-04,moro,midline,1.5,4,',
      'SM-7,2026-03-04,palmar_grasp,left,0,4,',
      'SM-7,2026-03-04,spinal_galant,left,2,4,',
    ])
    expect(lines(loaded, 'problems')).toEqual(['visits/SM-7.csv,2,score,5,score_out_of_range,rejected'])
  })

  it('fills down what was written once for a block, where the guide says so', async () => {
    const guide = 'fill_down: [client_id, assessed_on]\n'
    const scores = 'Client ID,Assessment date,Reflex,Side,Score\nSM-1,2026-03-01,Galant,L,2\n,,Galant,R,3\n'
    expect(lines(await load({ 'a.csv': scores, 'guide.yaml': guide }), 'assessments')).toEqual([
      'SM-1,2026-03-01,spinal_galant,left,2,4,',
      'SM-1,2026-03-01,spinal_galant,right,3,4,',
    ])
  })

  it('reads several fields from one column, and constants', async () => {
    const guide = [
      'columns:',
      '  Exercise: {field: target, also: [side, stimulus]}',
      'constants: {done_by: self}',
      'words:',
      '  target: {galant left: spinal_galant, rocking: tonic_labyrinthine}',
      '  side: {galant left: left, rocking: midline}',
      '  stimulus: {galant left: brush, rocking: movement}',
    ].join('\n')
    const log = 'Client ID,Date,Exercise,Reps\nSM-1,2026-03-01,Galant left,5\nSM-1,2026-03-01,Rocking,6\n'
    expect(lines(await load({ 'a.csv': log, 'guide.yaml': guide }), 'sessions')).toEqual([
      'SM-1,2026-03-01,,spinal_galant,left,brush,5,,,self,,',
      'SM-1,2026-03-01,,tonic_labyrinthine,midline,movement,6,,,self,,',
    ])
  })

  it('takes the top of the scale from heading, column, text or guide, and balks where they differ', async () => {
    const of = async (heading: string, cells: string, guide = ''): Promise<string[]> => {
      const loaded = await load({
        'a.csv': `Client ID,Assessment date,Reflex,${heading}\nSM-1,2026-03-01,Moro,${cells}\n`,
        'guide.yaml': guide,
      })
      return [...lines(loaded, 'assessments'), ...lines(loaded, 'problems')]
    }
    expect(await of('Score', '4')).toEqual(['SM-1,2026-03-01,moro,midline,4,4,'])
    expect(await of('Score (0-3)', '3')).toEqual(['SM-1,2026-03-01,moro,midline,3,3,'])
    expect(await of('Score,Scale max', '5,10')).toEqual(['SM-1,2026-03-01,moro,midline,5,10,'])
    expect(await of('Score', '3/5')).toEqual(['SM-1,2026-03-01,moro,midline,3,5,'])
    expect(await of('Score', '5', 'scale: 5')).toEqual(['SM-1,2026-03-01,moro,midline,5,5,'])
    expect(await of('Score (0-4)', '3/5')).toEqual(['a.csv,1,score,3/5,unreadable_number,rejected'])
  })

  it('takes the order of dates from the heading that says it', async () => {
    const loaded = await load({
      'a.csv': 'Client ID,Date (mm/dd/yyyy),Target,Reps\nSM-1,03/04/2026,Moro,5\n',
    })
    expect(lines(loaded, 'sessions')).toEqual(['SM-1,2026-03-04,,moro,midline,,5,,,,,'])
  })

  it('takes back what the top of the guide says of dates', async () => {
    const log = 'Client ID,Date,Target,Reps\nSM-1,03/04/2026,Moro,5\n'
    const guide = 'dates: day-month-year\nfiles:\n  - match: b.csv\n    dates: unknown\n'
    const loaded = await load({ 'a.csv': log, 'b.csv': log, 'guide.yaml': guide })
    expect(lines(loaded, 'sessions')).toEqual(['SM-1,2026-04-03,,moro,midline,,5,,,,,'])
    expect(lines(loaded, 'problems')).toEqual(['b.csv,1,done_on,03/04/2026,ambiguous_date,rejected'])
  })

  it('does not read a bare number under a heading that leaves the unit open', async () => {
    const loaded = await load({
      'a.csv': 'Client ID,Date,Target,Duration\nSM-1,2026-03-01,Moro,90\nSM-1,2026-03-01,Moro,1:30\n',
    })
    expect(sessionsOf(loaded).map((s) => s.seconds)).toEqual([null, 90])
    expect(lines(loaded, 'problems')).toEqual(['a.csv,1,seconds,90,unreadable_number,emptied'])
  })
})

describe('kinds', () => {
  it('are shown by few headings where these can mean one thing only', async () => {
    const kinds = async (text: string): Promise<string> =>
      (await load({ 'a.csv': text })).ledger[0]?.kinds.join() ?? ''
    expect(await kinds('Client ID,Date of birth\nSM-1,2020-01-01\n')).toBe('clients')
    expect(await kinds('Client ID,Session date,Target,Side\nSM-1,2026-01-01,Moro,\n')).toBe('sessions')
    expect(await kinds('Client ID,Assessed on,Reflex,L,R\nSM-1,2026-01-01,Galant,1,2\n')).toBe('assessments')
    expect(
      await kinds('Client ID,Reflex,Side,Reps,From,Until,Times a day\nSM-1,Moro,,5,2026-01-01,,2\n'),
    ).toBe('programmes')
  })

  it('must be said where the headings fit two', async () => {
    const text =
      'Client ID,Date,Reflex,Side,Score,Sessions per day,Reps per session\nSM-1,2026-01-01,Moro,,2,3,4\n'
    await expect(load({ 'a.csv': text })).rejects.toThrow(/fit assessments and programmes. Say which/)
    const loaded = await load({
      'a.csv': text,
      'guide.yaml': 'files:\n  - match: a.csv\n    holds: assessments\n',
    })
    expect(loaded.records.assessments).toHaveLength(1)
  })
})

describe('constants', () => {
  it('hold for the field they name only, and may build on the name of the file', async () => {
    const guide = [
      'constants: {done_by: family}',
      'files:',
      '  - match: log_*.csv',
      '    name: log_{client_id}.csv',
      '    constants: {client_id: "SM-{client_id}"}',
    ].join('\n')
    const loaded = await load({
      'guide.yaml': guide,
      'log_0912.csv': 'Date,Target,Reps\n2026-01-01,Moro,5\n',
      'scores.csv': 'Client ID,Assessed on,Reflex,Score\nSM-0912,2026-01-01,Moro,2\n',
    })
    expect(lines(loaded, 'sessions')).toEqual(['SM-0912,2026-01-01,,moro,midline,,5,,,family,,'])
    expect(lines(loaded, 'assessments')).toEqual(['SM-0912,2026-01-01,moro,midline,2,4,'])
  })
})

describe('two columns of one exercise, side and measure', () => {
  it('are not chosen between', async () => {
    const guide = 'wide: {exercises: {Palm: palmar_grasp}, measures: {strokes: reps}}\n'
    const diary = 'Client ID,Date,Palm L,Palm L strokes\nSM-1,2026-01-01,5,6\n'
    await expect(load({ 'a.csv': diary, 'guide.yaml': guide })).rejects.toThrow(
      /"Palm L" and "Palm L strokes" both hold reps/,
    )
  })
})

describe('what a table does not tell', () => {
  it('is said once, not only record by record', async () => {
    const loaded = await load({ 'a.csv': 'Code,Date,Target,Reps\nSM-1,2026-01-01,Moro,5\n' })
    expect(loaded.ledger[0]?.remarks).toEqual([
      expect.stringMatching(/no heading is understood as client_id/),
      'columns not read: "Code"',
    ])
    expect(loaded.ledger[0]).toMatchObject({ records: 1, kept: 0, rejected: 1 })
  })

  it('may be the date: "Started" is date and time where no other heading is the date', async () => {
    const loaded = await load({
      'a.csv': 'Client ID,Started,Target,Reps\nSM-1,2026-01-01 08:00,Moro,5\n',
      'b.csv': 'Client ID,Date,Start,Target,Reps\nSM-1,2026-01-02,09:00,Moro,5\n',
    })
    expect(sessionsOf(loaded).map((s) => s.done_at)).toEqual(['08:00', '09:00'])
    expect(lines(loaded, 'problems')).toEqual([])
  })
})
