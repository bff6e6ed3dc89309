import { describe, expect, it } from 'vitest'
import {
  provenOrder,
  type Reading,
  readCautions,
  readConsent,
  readCount,
  readDate,
  readDischargeReason,
  readDoneBy,
  readDuration,
  readGestation,
  readIntensity,
  readNumber,
  readReaction,
  readReflex,
  readScore,
  readSex,
  readSide,
  readStimulus,
  readTarget,
  readTick,
  readTime,
} from '../../src/load/interpret/index.ts'
import { formatDay, parseDay } from '../../src/records/index.ts'

/** What an interpreter makes of a text: the value, or the rule in brackets. */
const shown = <T>(reading: Reading<T>): T | string =>
  'value' in reading ? reading.value : `(${reading.rule})`

function table(
  title: string,
  interpret: (text: string) => unknown,
  rows: readonly (readonly [string, unknown])[],
): void {
  describe(title, () => {
    for (const [text, wanted] of rows)
      it(`${JSON.stringify(text)} is ${JSON.stringify(wanted)}`, () =>
        expect(interpret(text)).toEqual(wanted))
  })
}

const UNKNOWN = '(unknown_value)'
const NO_NUMBER = '(unreadable_number)'
const NO_DATE = '(unreadable_date)'

table('a reflex', (text) => shown(readReflex(text)), [
  ['moro', 'moro'],
  ['Moro', 'moro'],
  ['MORO REFLEX', 'moro'],
  ['moro response', 'moro'],
  [' Moro  reflex ', 'moro'],
  ['ATNR', 'asymmetric_tonic_neck'],
  ['atnr', 'asymmetric_tonic_neck'],
  ['ATNR reflex', 'asymmetric_tonic_neck'],
  ['Asymmetric tonic neck', 'asymmetric_tonic_neck'],
  ['asymmetric_tonic_neck', 'asymmetric_tonic_neck'],
  ['Asymmetrical tonic neck reflex', 'asymmetric_tonic_neck'],
  ['asymmetric-tonic-neck', 'asymmetric_tonic_neck'],
  ['Asymmetric tonic neck reflex (ATNR)', 'asymmetric_tonic_neck'],
  ['ATNR (asymmetric tonic neck)', 'asymmetric_tonic_neck'],
  ['ATNR (Moro)', UNKNOWN],
  ['ATNR (bad day)', UNKNOWN],
  ['Grasp reflex (palmar)', 'palmar_grasp'],
  ['STNR', 'symmetric_tonic_neck'],
  ['Symmetrical tonic neck', 'symmetric_tonic_neck'],
  ['symmetric tonic neck reflex', 'symmetric_tonic_neck'],
  ['TLR', 'tonic_labyrinthine'],
  ['Tonic labyrinthine', 'tonic_labyrinthine'],
  ['Tonic Labyrinthine Reflex', 'tonic_labyrinthine'],
  ['Galant', 'spinal_galant'],
  ['Spinal Galant', 'spinal_galant'],
  ['spinal galant response', 'spinal_galant'],
  ['Babinski', 'extensor_plantar'],
  ['Babinski sign', 'extensor_plantar'],
  ['Extensor plantar', 'extensor_plantar'],
  ['extensor plantar response', 'extensor_plantar'],
  ['Palmar grasp', 'palmar_grasp'],
  ['Grasp (palmar)', 'palmar_grasp'],
  ['palmar_grasp', 'palmar_grasp'],
  ['Plantar grasp', 'plantar_grasp'],
  ['grasp, plantar', 'plantar_grasp'],
  ['Rooting', 'rooting'],
  ['Sucking reflex', 'sucking'],
  ['Snout', 'snout'],
  ['Babkin', 'babkin'],
  // One is not enough to tell which: grasp of hand or foot; plantar response or plantar grasp.
  ['Grasp', UNKNOWN],
  ['Plantar', UNKNOWN],
  // Another reflex, or a misspelling, which only the guide may read.
  ['Startle', UNKNOWN],
  ['Knee jerk', UNKNOWN],
  ['Babinsky', UNKNOWN],
  ['ATNRS', UNKNOWN],
  ['Galants', UNKNOWN],
  ['Moro?', UNKNOWN],
  ['ear stimulation', UNKNOWN],
  ['reflex', UNKNOWN],
])

table('a target', (text) => shown(readTarget(text)), [
  ['Ear stimulation', 'ear_stimulation'],
  ['ear_stimulation', 'ear_stimulation'],
  ['EAR STIMULATION', 'ear_stimulation'],
  ['Galant', 'spinal_galant'],
  ['ears?', UNKNOWN],
  ['ears', UNKNOWN],
])

table('a side', (text) => shown(readSide(text)), [
  ['L side', 'left'],
  ['right-sided', 'right'],
  ['left hand', UNKNOWN],
  ['left', 'left'],
  ['Left', 'left'],
  ['LEFT', 'left'],
  ['l', 'left'],
  ['L', 'left'],
  ['L.', 'left'],
  ['Lt.', 'left'],
  ['lt', 'left'],
  ['(L)', 'left'],
  ['left side', 'left'],
  [' left ', 'left'],
  ['right', 'right'],
  ['R', 'right'],
  ['Rt.', 'right'],
  ['(r)', 'right'],
  ['midline', 'midline'],
  ['Midline', 'midline'],
  ['mid', 'midline'],
  ['M', 'midline'],
  ['both', 'both'],
  ['Both sides', 'both'],
  ['bilateral', 'both'],
  ['bilat', 'both'],
  ['L+R', 'both'],
  ['L/R', 'both'],
  ['left and right', 'both'],
  ['b', UNKNOWN],
  ['L?', UNKNOWN],
  ['?', UNKNOWN],
  ['front', UNKNOWN],
  ['links', UNKNOWN],
  ['left?', UNKNOWN],
])

const date = (text: string, options: Parameters<typeof readDate>[1] = {}): string => {
  const reading = readDate(text, options)
  if (!('value' in reading)) return `(${reading.rule})`
  const { day, time, badTime } = reading.value
  return `${formatDay(day)}${time === null ? '' : ` ${time}`}${badTime ? ' ?' : ''}`
}

table('a date by itself', (text) => date(text), [
  ['2026-03-04', '2026-03-04'],
  ['2026-3-4', '2026-03-04'],
  ['2026/03/04', '2026-03-04'],
  ['2026-Mar-04', '2026-03-04'],
  ['Wed 24/12/2025', '2025-12-24'],
  ['08:30 24/12/2025', '2025-12-24 08:30'],
  ['20260304T081500', '2026-03-04 08:15'],
  // Eight digits are year, month, day; nothing here says otherwise.
  ['24122025', '(impossible_date)'],
  ['2026.03.04', '2026-03-04'],
  ['20260304', '2026-03-04'],
  ['4 Mar 2026', '2026-03-04'],
  ['4 March 2026', '2026-03-04'],
  ['04-Mar-2026', '2026-03-04'],
  ['4th of March 2026', '2026-03-04'],
  ['4. March 2026', '2026-03-04'],
  ['March 4, 2026', '2026-03-04'],
  ['Mar 4th 2026', '2026-03-04'],
  ['Wed 4 Mar 2026', '2026-03-04'],
  ['Wednesday, 4 March 2026', '2026-03-04'],
  ['1 Sept 2025', '2025-09-01'],
  // One date, whatever the order.
  ['05/05/2025', '2025-05-05'],
  ['24/12/2025', '2025-12-24'],
  ['12/24/2025', '2025-12-24'],
  ['24.12.2025', '2025-12-24'],
  ['24-12-2025', '2025-12-24'],
  // Two dates, and nothing tells which.
  ['03/04/2025', '(ambiguous_date)'],
  ['3.4.2025', '(ambiguous_date)'],
  // No such day.
  ['2026-02-30', '(impossible_date)'],
  ['31/04/2026', '(impossible_date)'],
  ['13/13/2026', '(impossible_date)'],
  ['29/02/2025', '(impossible_date)'],
  ['29 Feb 2025', '(impossible_date)'],
  ['2026-13-01', '(impossible_date)'],
  ['29 Feb 2024', '2024-02-29'],
  // A year of two digits, and nothing says of which century.
  ['24/12/25', NO_DATE],
  ['4 Mar 26', NO_DATE],
  ['2026', NO_DATE],
  ['2026-03', NO_DATE],
  ['March 2026', NO_DATE],
  ['last week', NO_DATE],
  ['yesterday', NO_DATE],
  ['??', NO_DATE],
  ['##########', NO_DATE],
  ['46055', NO_DATE],
  ['24/12-2025', NO_DATE],
  ['tbc', NO_DATE],
  ['4 Foo 2026', NO_DATE],
  // With a time. The local date and time are as written, whatever the offset.
  ['2026-07-14 08:30', '2026-07-14 08:30'],
  ['2026-07-14T08:30:59Z', '2026-07-14 08:30'],
  ['2026-07-14T23:40:02+10:00', '2026-07-14 23:40'],
  ['2026-07-14T08:30:59.123-0500', '2026-07-14 08:30'],
  ['24/12/2025, 7:05 pm', '2025-12-24 19:05'],
  ['4 Mar 2026 at 9:00', '2026-03-04 09:00'],
  ['2026-07-14 25:99', '2026-07-14 ?'],
  ['2026-04-31T14:26:03+05:30', '(impossible_date)'],
  ['2026-07-14 morning', NO_DATE],
])

table('a date where day comes first', (text) => date(text, { order: 'day-month-year' }), [
  ['03/04/2025', '2025-04-03'],
  ['3/4/2025 8:00', '2025-04-03 08:00'],
  ['12/24/2025', '(impossible_date)'],
])
table('a date where month comes first', (text) => date(text, { order: 'month-day-year' }), [
  ['03/04/2025', '2025-03-04'],
  ['24/12/2025', '(impossible_date)'],
])
const GERMAN = new Map([
  ['märz', 'march'],
  ['mai', 'may'],
  ['mo', 'ignore'],
  ['den', 'ignore'],
] as const)
table(
  'a date with words that the guide explains',
  (text) => date(text, { order: 'day-month-year', words: GERMAN }),
  [
    ['3. März 2026', '2026-03-03'],
    ['3 MÄRZ 2026', '2026-03-03'],
    ['3. Ma\u0308rz 2026', '2026-03-03'],
    ['Mo., 4. Mai 2026', '2026-05-04'],
    ['Mo 04.05.2026', '2026-05-04'],
    ['den 4. Mai 2026 um 9', NO_DATE],
    ['4 March 2026', '2026-03-04'],
    ['4. Juni 2026', NO_DATE],
  ],
)
table('a date of a known century', (text) => date(text, { order: 'day-month-year', century: 2000 }), [
  ['24/12/25', '2025-12-24'],
  ['3.4.05', '2005-04-03'],
  ["4 Mar '26", '2026-03-04'],
  ['4-Mar-26', '2026-03-04'],
  ['30/02/26', '(impossible_date)'],
])
table('a date with the year first', (text) => date(text, { order: 'year-month-day', century: 2000 }), [
  ['26-03-04', '2026-03-04'],
  ['2026-03-04', '2026-03-04'],
])
table(
  "a workbook's date",
  (text) => date(text, { order: 'day-month-year', serialDayZero: parseDay('1899-12-30') }),
  [
    // 45000 is 2023-03-15 in every spreadsheet program that counts from 1900.
    ['45000', '2023-03-15'],
    ['45000.5', '2023-03-15 12:00'],
    ['16/07/2026', '2026-07-16'],
    ['2026', NO_DATE],
    // The 12th of some month, 12 March, or a day of January 1900?
    ['12', NO_DATE],
    ['12.03', NO_DATE],
    ['0', NO_DATE],
  ],
)

describe('the order a column proves', () => {
  it.each([
    [['03/04/2025', '24/12/2025'], 'day-month-year'],
    [['03/04/2025', '12/24/2025'], 'month-day-year'],
    [['03/04/2025', '24/12/2025 8:00', ''], 'day-month-year'],
    [['03/04/2025', '05/05/2025'], null],
    // Both orders are proven, so neither is.
    [['24/12/2025', '12/24/2025'], null],
    // There is no 31 April, so it proves nothing; nor does a year that could be any.
    [['31/04/2026', '03/04/2025'], null],
    [['24/12/25', '03/04/2025'], null],
    [['2026-12-24', '4 Mar 2026'], null],
  ])('%j: %s', (texts, order) => {
    expect(provenOrder(texts)).toBe(order)
  })
})

table('a time', (text) => shown(readTime(text)), [
  ['20 Uhr', '20:00'],
  ['20h', '20:00'],
  ['07:43', '07:43'],
  ['7:43', '07:43'],
  ['7:43:59', '07:43'],
  ['07:43:10.5', '07:43'],
  ['7:07 am', '07:07'],
  ['2:00 pm', '14:00'],
  ['2:00PM', '14:00'],
  ['2 p.m.', '14:00'],
  ['12:00 am', '00:00'],
  ['12:30 pm', '12:30'],
  ['9.30', '09:30'],
  ['9h30', '09:30'],
  ['0743', '07:43'],
  ['23:59', '23:59'],
  ['00:00', '00:00'],
  ['08:43:56+11:00', '08:43'],
  ['24:00', NO_DATE],
  ['7:60', NO_DATE],
  ['13:00 pm', NO_DATE],
  ['7', NO_DATE],
  ['morning', NO_DATE],
  ['7:4', NO_DATE],
])

table('a number', (text) => shown(readNumber(text)), [
  ['12', 12],
  ['1.5', 1.5],
  [' 12 ', 12],
  ['+3', 3],
  ['-1', -1],
  ['007', 7],
  ['.5', 0.5],
  ['5.', 5],
  ['2½', 2.5],
  ['½', 0.5],
  ['1,5', NO_NUMBER],
  ['1,000', NO_NUMBER],
  ['~15', NO_NUMBER],
  ['10-12', NO_NUMBER],
  ['ten', NO_NUMBER],
  ['30?', NO_NUMBER],
  ['12x3', NO_NUMBER],
  ['1e3', NO_NUMBER],
  ['0x10', NO_NUMBER],
  ['Infinity', NO_NUMBER],
  ['NaN', NO_NUMBER],
  ['1 2', NO_NUMBER],
  ['>3', NO_NUMBER],
  ['a few', NO_NUMBER],
])
table('a number where the decimal mark is a comma', (text) => shown(readNumber(text, { decimal: 'comma' })), [
  ['1,5', 1.5],
  ['0,75', 0.75],
  ['12', 12],
  ['1.5', 1.5],
  // A thousand, or one and a bit: it could be both.
  ['1.000', NO_NUMBER],
  ['1,5,5', NO_NUMBER],
  ['1.000,5', NO_NUMBER],
  ['ca. 3', NO_NUMBER],
])
table('a count', (text) => shown(readCount(text)), [
  ['0', 0],
  ['20', 20],
  ['-5', NO_NUMBER],
])

table('an intensity', (text) => shown(readIntensity(text)), [
  ['3', 3],
  ['2.5', 2.5],
  ['level 3', 3],
  ['Lvl. 4', 4],
  ['high', NO_NUMBER],
  ['3 or 4', NO_NUMBER],
])

const score = (text: string): string => {
  const reading = readScore(text)
  if (!('value' in reading)) return `(${reading.rule})`
  return `${reading.value.score}${reading.value.scale === null ? '' : ` of ${reading.value.scale}`}`
}
table('a score', score, [
  ['2', '2'],
  ['2.5', '2.5'],
  ['1½', '1.5'],
  ['2/4', '2 of 4'],
  ['2 / 4', '2 of 4'],
  ['2 of 4', '2 of 4'],
  ['2 out of 4', '2 of 4'],
  ['9/4', '9 of 4'],
  ['-1', '-1'],
  ['2-3', NO_NUMBER],
  ['>3', NO_NUMBER],
  ['1,5', NO_NUMBER],
  ['++', NO_NUMBER],
  ['-', NO_NUMBER],
  ['n/a', NO_NUMBER],
  ['x', NO_NUMBER],
  ['2/0', NO_NUMBER],
  ['1 or 2', NO_NUMBER],
])

table('the length of a session, in seconds', (text) => shown(readDuration(text)), [
  ['1\'30"', 90],
  ["2'", 120],
  ['90 Sek.', 90],
  ['2 Minuten', 120],
  ['1 Min. und 30 Sek.', 90],
  ['PT1M30S', 90],
  ['90', 90],
  ['90 s', 90],
  ['90s', 90],
  ['90 sec', 90],
  ['90 seconds', 90],
  ['1.5 min', 90],
  ['2 mins', 120],
  ['1 minute', 60],
  ['1 min 30 s', 90],
  ['1m30s', 90],
  ['1 minute and 30 seconds', 90],
  ['1:30', 90],
  ['0:45', 45],
  ['0:01:30', 90],
  ['1 h', 3600],
  ['½ min', 30],
  ['a minute', NO_NUMBER],
  ['30?', NO_NUMBER],
  ['1:75', NO_NUMBER],
  ['30 s 1 min', NO_NUMBER],
  ['2-3', NO_NUMBER],
  ['5 monkeys', NO_NUMBER],
  ['lots', NO_NUMBER],
  ['-30', NO_NUMBER],
])
table('the length of a session under "Minutes"', (text) => shown(readDuration(text, { unit: 'minutes' })), [
  ['1.5', 90],
  ['4.35', 261],
  ['90 s', 90],
  ['1:30', 90],
])
table(
  'the length of a session whose unit nothing tells',
  (text) => shown(readDuration(text, { unit: null })),
  [
    ['90 s', 90],
    ['1:30', 90],
    ['90', NO_NUMBER],
  ],
)
table('a length in hours', (text) => shown(readDuration(text, { unit: 'hours' })), [
  ['0.5', 1800],
  // Hours and minutes, or minutes and seconds?
  ['1:30', NO_NUMBER],
])
table('a length as hours and minutes of a clock', (text) => shown(readDuration(text, { unit: 'h:mm' })), [
  ['1:30', 5400],
  ['0:01:30', 90],
  ['90 s', 90],
  ['90', NO_NUMBER],
])

table('weeks at birth', (text) => shown(readGestation(text)), [
  ['38 4/7', 38],
  ['38+4/7', 38],
  ['38 weeks and 4 days', 38],
  ['38/7', '(unreadable_number)'],
  ['38', 38],
  ['38+4', 38],
  ['38 + 4', 38],
  ['38w4d', 38],
  ['38 weeks', 38],
  ['38 weeks 4 days', 38],
  ['38 wks', 38],
  ['38/40', 38],
  ['22', 22],
  ['44', 44],
  ['21', NO_NUMBER],
  ['45', NO_NUMBER],
  ['38+7', NO_NUMBER],
  ['37.5', NO_NUMBER],
  ['term', NO_NUMBER],
])

table('a stimulus', (text) => shown(readStimulus(text)), [
  ['brush', 'brush'],
  ['Brush', 'brush'],
  ['brushing', 'brush'],
  ['touch', 'touch'],
  ['vibration', 'vibration'],
  ['electrical', 'electrical'],
  ['Electrical stimulation', 'electrical'],
  ['movement', 'movement'],
  ['buzzer', UNKNOWN],
  ['soft brush', UNKNOWN],
])

table('who did it', (text) => shown(readDoneBy(text)), [
  ['family', 'family'],
  ['Family', 'family'],
  ['clinician', 'clinician'],
  ['SELF', 'self'],
  ['mum', UNKNOWN],
  ['neighbour', UNKNOWN],
])

table('a reaction', (text) => shown(readReaction(text)), [
  ['none', 'none'],
  ['None', 'none'],
  ['skin', 'skin'],
  ['distress', 'distress'],
  ['vomiting', 'vomiting'],
  ['colour', 'colour'],
  ['color', 'colour'],
  ['breathing', 'breathing'],
  ['Seizure', 'seizure'],
  ['sleepy', 'sleepy'],
  ['other', 'other'],
  ['fine', UNKNOWN],
  ['seizure?', UNKNOWN],
  ['-', UNKNOWN],
])

table('a sex', (text) => shown(readSex(text)), [
  ['F', 'female'],
  ['female', 'female'],
  ['m', 'male'],
  ['Male', 'male'],
  ['other', 'other'],
  ['unknown', 'unknown'],
  ['w', UNKNOWN],
  ['Q', UNKNOWN],
])

table('a reason for discharge', (text) => shown(readDischargeReason(text)), [
  ['completed', 'completed'],
  ['Moved', 'moved'],
  ['stopped', 'stopped'],
  ['referred', 'referred'],
  ['died', 'died'],
  ['other', 'other'],
  ['went fishing', UNKNOWN],
])

table('cautions', (text) => shown(readCautions(text)), [
  ['seizures', ['seizures']],
  ['skin; shunt', ['shunt', 'skin']],
  ['skin, shunt', ['shunt', 'skin']],
  ['Heart rhythm;heart_rhythm', ['heart_rhythm']],
  ['implanted-device', ['implanted_device']],
  ['none', []],
  // A list with a hole would read as safe.
  ['seizures; gluten', UNKNOWN],
  ['sore skin', UNKNOWN],
])

table('consent', (text) => shown(readConsent(text)), [
  ['yes', 'yes'],
  ['Y', 'yes'],
  ['No', 'no'],
  ['n', 'no'],
  ['unknown', 'unknown'],
  ['true', 'yes'],
  ['perhaps', UNKNOWN],
  ['?', UNKNOWN],
])

table('a tick in a diary: done, not done, or neither', (text) => readTick(text), [
  ['x', true],
  ['X', true],
  ['✓', true],
  ['✔', true],
  ['yes', true],
  ['done', true],
  ['no', false],
  ['-', false],
  ['0', false],
  ['–', false],
  ['12', null],
  ['lots', null],
  ['1', null],
])

describe('a text that was made to be slow to look through', () => {
  const texts = ['1'.repeat(200_000), `x${' '.repeat(200_000)}y`, 'a ('.repeat(200_000), "1'".repeat(200_000)]
  for (const interpret of [readTarget, readScore, readDate, readDuration, readTime, readGestation, readSide])
    it(`is refused at once by ${interpret.name}`, () => {
      const start = performance.now()
      for (const text of texts) expect(interpret(text)).not.toHaveProperty('value')
      // Looked through again for each of its places, it would be minutes.
      expect(performance.now() - start).toBeLessThan(10_000)
    })
})
