import { describe, expect, it } from 'vitest'
import type { TableRules } from '../../src/load/guide/guide.ts'
import { findHeadingRow } from '../../src/load/headings/find.ts'
import { guideColumns } from '../../src/load/headings/guideColumns.ts'
import { headingPhrase, recogniseHeading } from '../../src/load/headings/recognise.ts'
import { HEADING_WORDS } from '../../src/load/headings/words.ts'
import { TABLE_COLUMNS } from '../../src/records/index.ts'

describe('an everyday heading', () => {
  const shown = (heading: string): string => {
    const found = recogniseHeading(heading)
    if (found === null) return '(not known)'
    return [
      found.meaning,
      found.unit === null ? 'unit open' : found.unit,
      found.scale && `of ${found.scale}`,
      found.side,
      found.order,
    ]
      .filter((part) => part !== undefined && part !== 0)
      .join(', ')
  }
  for (const [heading, wanted] of [
    ['Client ID', 'client_id'],
    ['clientId', 'client_id'],
    ['CLIENT_ID', 'client_id'],
    ["Client's code", 'client_id'],
    ['Patient no.', 'client_id'],
    ['ID', 'id'],
    ['Record ID', 'record_id'],
    ['Date', 'date'],
    ['Date of the assessment', 'assessed_on'],
    ['Session date', 'done_on'],
    ['Start date', 'starts_on'],
    ['Start', 'start'],
    ['Start time', 'time'],
    ['Date (dd/mm/yyyy)', 'date, day-month-year'],
    ['DOB (MM/DD/YYYY)', 'birth_date, month-day-year'],
    ['L/R', 'side'],
    ['Side (L/R/mid)', 'side'],
    ['Reflex tested', 'target'],
    ['Score', 'score'],
    ['Score (0-4)', 'score, of 4'],
    ['Score 0 to 3', 'score, of 3'],
    ['Result out of 5', 'score, of 5'],
    ['Score left', 'score, left'],
    ['R score', 'score, right'],
    ['Left', 'bare_side, left'],
    ['Reps (right)', 'reps, right'],
    ['No. of reps', 'reps'],
    ['Reps per session', 'reps_per_session'],
    ['Sessions/day', 'sessions_per_day'],
    ['Seconds', 'seconds, seconds'],
    ['Duration (min)', 'seconds, minutes'],
    ['Length in seconds', 'seconds, seconds'],
    ['Seconds/session', 'seconds_per_session, seconds'],
    ['Duration per session (s)', 'seconds_per_session, seconds'],
    ['Time (min)', 'seconds, minutes'],
    ['Time', 'time'],
    // A length whose unit nothing tells is known, but its bare numbers are not read.
    ['Duration', 'seconds, unit open'],
    ['exercise.side', 'side'],
    // A word for who, one for the number: whichever they are.
    ['Patient identifier', 'client_id'],
    ['Participant no', 'client_id'],
    ["Child's date of birth", 'birth_date'],
    ['Child first name', 'personal'],
    ['Treating clinician', 'clinician'],
    ['Reason for closing', 'discharge_reason'],
    ['Date rated', 'assessed_on'],
    ['Evaluated on', 'assessed_on'],
    ['Who scored', 'rater_id'],
    ['Observed by', 'rater_id'],
    ['Reflex evaluated', 'target'],
    ['Left, right or midline', 'side'],
    ['Score /4', 'score, of 4'],
    ['Grade (/5)', 'score, of 5'],
    ['Strength of response (0-4)', 'score, of 4'],
    ['Score on a scale of 0 to 4', 'score, of 4'],
    // Brackets that tell the whole scale.
    ['Score (0 = absent, 4 = strongest)', 'score, of 4'],
    ['Score (0-4, 0 = absent, 4 = strongest)', 'score, of 4'],
    ['Score (0 to 10; 10 = strongest)', 'score, of 10'],
    ['Score (%)', 'score, of 100'],
    ['Score left (%)', 'score, of 100, left'],
    ['Reps (%)', '(not known)'],
    // A scale that begins at 1, or runs the other way; figures of another size: whose numbers are not ours.
    ['Score (1-5)', '(not known)'],
    ['Score (1 = absent, 5 = strong)', '(not known)'],
    ['Score (4 = absent)', '(not known)'],
    ['Score (0 = strongest, 4 = absent)', '(not known)'],
    ['Score (0-4, 0 = strongest)', '(not known)'],
    ['Score (reversed)', '(not known)'],
    ['Reps (x10)', '(not known)'],
    // A date, or a side, of something else.
    ['Date (entered)', '(not known)'],
    ['Date (planned)', '(not known)'],
    ['Side (writing hand)', '(not known)'],
    ['Date (of session, dd.mm.yyyy)', 'date, day-month-year'],
    ['Date (YYYY-MM-DD hh:mm)', 'date, year-month-day'],
    ['Start date (e.g. 2026-03-01)', 'starts_on'],
    ['Side (L, R or both)', 'side'],
    ['Times per day (per week)', '(not known)'],
    ['Duration (h:mm)', 'seconds, h:mm'],
    ['Duration (hh:mm:ss)', 'seconds, unit open'],
    ['Form of stimulation', 'stimulus'],
    ['Times/day', 'sessions_per_day'],
    ['Planned reps', 'reps_per_session'],
    ['Planned minutes', 'seconds_per_session, minutes'],
    ['Number of minutes', 'seconds, minutes'],
    ['Lasted (s)', 'seconds, seconds'],
    ['Machine setting', 'intensity'],
    ['Date practised', 'done_on'],
    ['Starting time', 'time'],
    ['Applied by', 'done_by'],
    ["Child's reaction", 'reaction'],
    ['Notes from family', 'note'],
    ['Log entry ID', 'record_id'],
    // `Score 4` may be the fourth of several; `Hour` the time of day; line numbers begin anew in every file.
    ['Score 4', '(not known)'],
    ['Hour', '(not known)'],
    ['Line no.', '(not known)'],
    ['Entry date', '(not known)'],
    ['First name', 'personal'],
    // Nobody could be sure of these.
    ['Code', '(not known)'],
    ['Total', '(not known)'],
    ['Response', '(not known)'],
    ['What', '(not known)'],
    ['&r', '(not known)'],
    ['', '(not known)'],
  ] as const)
    it(`"${heading}" is ${wanted}`, () => expect(shown(heading)).toBe(wanted))

  it('is known for every column of the five tables, by its own name', () => {
    for (const [table, columns] of Object.entries(TABLE_COLUMNS))
      if (table !== 'problems')
        for (const column of columns)
          expect([column, recogniseHeading(column)?.meaning]).not.toEqual([column, undefined])
  })

  it('stands under one meaning only', () => {
    const meanings = new Map<string, string>()
    for (const [meaning, phrases] of Object.entries(HEADING_WORDS))
      for (const phrase of phrases) {
        expect(headingPhrase(phrase)).toBe(phrase)
        expect([phrase, meanings.get(phrase) ?? meaning]).toEqual([phrase, meaning])
        meanings.set(phrase, meaning)
      }
  })
})

describe('a heading that the guide names', () => {
  const fields = (headings: string[], rules: TableRules): (string | null)[] =>
    guideColumns(headings, rules).map(
      (c) => c && [c.field, c.target, c.side, c.stimulus].filter(Boolean).join(' '),
    )

  it('is matched as written, but for case and room; the nth of one name takes the nth rule', () => {
    const columns = { Date: ['ignore', 'done_on'], 'A  day': 'sessions_per_day' } as const
    expect(fields(['date', 'DATE', 'Date', ' a day '], { columns })).toEqual([
      'ignore',
      'done_on',
      null,
      'sessions_per_day',
    ])
  })

  it('may be wide: exercise, side and measure in any order', () => {
    const wide = {
      exercises: {
        Palm: { target: 'palmar_grasp', stimulus: 'brush' },
        'Palm top': 'moro',
        Rock: { target: 'tonic_labyrinthine', side: 'midline' },
      },
      sides: { li: 'left' },
      measures: { tours: 'reps' as const },
    }
    expect(
      fields(
        ['Palm L', 'mins: palm (right)', 'PALM_li_tours', 'Rock', 'Palm top', 'Palm L extra', 'Weather'],
        { wide },
      ),
    ).toEqual([
      'reps palmar_grasp left brush',
      'minutes palmar_grasp right brush',
      'reps palmar_grasp left brush',
      'reps tonic_labyrinthine midline',
      'reps moro',
      null,
      null,
    ])
  })
})

describe('the row of the headings', () => {
  it('is the one with most known headings; the first where none is known', () => {
    const titles = [
      ['Saltmarsh home log'],
      ['Date', 'printed'],
      ['Client ID', 'Date', 'Reflex', 'Side'],
      ['SM-1', 'left', 'x', 'y'],
    ]
    expect(findHeadingRow(titles, {})).toEqual({ row: 2, known: 4 })
    expect(
      findHeadingRow(
        [
          ['a', 'b'],
          ['c', 'd'],
        ],
        {},
      ),
    ).toEqual({ row: 0, known: 0 })
    expect(findHeadingRow([['t'], ['Wer', 'Wann']], { columns: { Wer: 'client_id', Wann: 'date' } })).toEqual(
      { row: 1, known: 2 },
    )
  })
})
