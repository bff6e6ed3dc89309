import { describe, expect, it } from 'vitest'
import { medianInWords, timeToIntegration } from '../../src/measures/time-to-integration.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'
import { simulateCaseload } from './simulate.ts'

const START = '2024-01-01'
const BORN = '2018-06-15'

/** Days after 2024-01-01: 2024 is a leap year, so 1 March is day 31 + 29 = 60 and 1 May 31 + 29 + 31 + 30 = 121. */
const dates = {
  before: '2023-12-20',
  day31: '2024-02-01',
  day60: '2024-03-01',
  day91: '2024-04-01',
  day121: '2024-05-01',
  day152: '2024-06-01',
}

const oneSeries = (rows: readonly (readonly [string, number])[]) => {
  const result = timeToIntegration(
    recordsOf({
      clients: [client('a', BORN)],
      assessments: scores('a', 'moro', 'midline', rows),
      programmes: [line('a', 'moro', 'midline', START)],
    }),
    { asOf: on('2024-07-01'), draws: 99 },
  )
  return { result, interval: result.intervals[0] }
}

describe('the interval in which a reflex went', () => {
  it('runs from the last positive occasion to the first 0 of the confirmed run', () => {
    const { interval } = oneSeries([
      [dates.before, 3],
      [dates.day31, 2],
      [dates.day60, 0],
      [dates.day91, 0],
    ])
    expect(interval).toMatchObject({ left: 31, right: 60, returnedOn: null })
  })

  it('is cut at the start where the last positive occasion lies before it', () => {
    const { interval } = oneSeries([
      [dates.before, 3],
      [dates.day31, 0],
      [dates.day60, 0],
    ])
    expect(interval).toMatchObject({ left: 0, right: 31 })
  })

  it('takes no unconfirmed 0 for integration, and censors at the last positive occasion, not the last', () => {
    const { interval, result } = oneSeries([
      [dates.before, 3],
      [dates.day31, 2],
      [dates.day60, 0],
    ])
    expect(interval).toMatchObject({ left: 31, right: Infinity })
    expect(result.n).toBe(1)
  })

  it('needs 28 days between the zeros: 27 do not confirm, 28 do', () => {
    const zeros = (second: string) =>
      oneSeries([
        [dates.before, 3],
        ['2024-02-01', 0],
        [second, 0],
      ]).interval!.right
    expect(zeros('2024-02-28')).toBe(Infinity)
    // 1 to 29 February, the leap day: 28 days.
    expect(zeros('2024-02-29')).toBe(31)
  })

  it('passes over a wavering 0 before the run that lasts', () => {
    const { interval } = oneSeries([
      [dates.before, 3],
      [dates.day31, 0],
      [dates.day60, 1],
      [dates.day91, 0],
      [dates.day121, 0],
    ])
    expect(interval).toMatchObject({ left: 60, right: 91 })
  })

  it('counts the first integration of a reflex that went, came back and went again, and says that it came back', () => {
    const { interval, result } = oneSeries([
      [dates.before, 3],
      [dates.day31, 0],
      [dates.day60, 0],
      [dates.day91, 2],
      [dates.day121, 0],
      [dates.day152, 0],
    ])
    expect(interval).toMatchObject({ left: 0, right: 31, returnedOn: on(dates.day91) })
    expect(result.returned).toEqual([
      { client_id: 'a', reflex: 'moro', side: 'midline', goneFrom: on(dates.day31), backOn: on(dates.day91) },
    ])
  })
})

describe('who enters', () => {
  it('accounts for every series: enrolled = analysed + excluded by reason', () => {
    const result = timeToIntegration(
      recordsOf({
        clients: ['a', 'b', 'c', 'd', 'e'].map((id) => client(id, BORN)),
        assessments: [
          ...scores('a', 'moro', 'midline', [
            [dates.before, 3],
            [dates.day60, 2],
          ]),
          ...scores('b', 'moro', 'midline', [[dates.day31, 2]]),
          ...scores('c', 'moro', 'midline', [
            [dates.before, 0],
            [dates.day60, 2],
          ]),
          ...scores('d', 'moro', 'midline', [[dates.before, 2]]),
          ...scores('e', 'moro', 'midline', [
            [dates.before, 2],
            [dates.day60, 2],
          ]),
        ],
        programmes: ['a', 'b', 'c', 'd'].map((id) => line(id, 'moro', 'midline', START)),
      }),
      { asOf: on('2024-07-01') },
    )
    expect(result).toMatchObject({ enrolled: 5, n: 1 })
    expect(result.exclusions.map((e) => e.count)).toEqual([1, 1, 1, 1])
    expect(result.reflexes[0]!.median).toEqual({
      notComputed: 'The time to integration needs 5 clients; here there are 1.',
    })
  })
})

describe('the estimate', () => {
  // Ten clients. Seen at day 60 at the last positive and 91 at the first 0: six. Still there on day 121: four.
  // Turnbull: mass 6/10 in (60, 91], the rest past 121; half is reached in (60, 91].
  const ids = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j']
  const records = recordsOf({
    clients: ids.map((id, i) => client(id, BORN, { group: i % 2 === 0 ? 'home' : 'clinic' })),
    assessments: ids.flatMap((id, i) =>
      scores('abcdefghij'[i]!, 'moro', 'midline', [
        [dates.before, 3],
        [dates.day60, 2],
        [dates.day91, i < 6 ? 0 : 2],
        [dates.day121, i < 6 ? 0 : 1],
      ]).map((row) => ({ ...row, client_id: id })),
    ),
    programmes: ids.map((id) => line(id, 'moro', 'midline', START)),
  })

  it('puts six tenths between day 60 and day 91', () => {
    const result = timeToIntegration(records, {
      asOf: on('2024-07-01'),
      draws: 199,
      compareBy: 'group',
      at: [100],
    })
    const moro = result.reflexes[0]!
    expect(moro).toMatchObject({ series: 10, clients: 10, integrated: 6, censored: 4, ageAppropriate: 0 })
    expect(moro.median).toMatchObject({ left: 60, right: 91 })
    if ('notComputed' in moro.estimate) throw new Error(moro.estimate.notComputed)
    expect(moro.estimate.survival[0]).toMatchObject({ at: 100 })
    expect(moro.estimate.survival[0]!.lowest).toBeCloseTo(0.4, 9)
    expect(medianInWords('moro', moro.median)).toMatch(
      /^Moro: half gone between day 60 and day 91 \(95 % interval 60 days to /,
    )
    if (moro.comparison === null || 'notComputed' in moro.comparison) throw new Error('not compared')
    // Alternating clients: 3 of 5 went in each group, so there is nothing between them.
    expect(moro.comparison.groups.map((g) => [g.group, g.integrated])).toEqual([
      ['clinic', 3],
      ['home', 3],
    ])
    if ('notComputed' in moro.comparison.test) throw new Error(moro.comparison.test.notComputed)
    expect(moro.comparison.test.pPermutation).toBe(1)
  })

  it('finds the true time of a simulated caseload inside its interval', () => {
    // No spread between series and no error: every latent score falls from 2.4 by 0.4 points a month and is written 0 below one
    // half, after (2.4 - 0.5) / 0.4 = 4.75 months = 144.6 days.
    const { records: simulated, asOf } = simulateCaseload(3, {
      clients: 120,
      reflexesPerClient: 3,
      level: 2.4,
      growthPerMonth: -0.4,
      effectPerMonth: 0,
      clientInterceptSd: 0,
      clientSlopeSd: 0,
      seriesInterceptSd: 0,
      seriesSlopeSd: 0,
      errorSd: 0,
      written: 'graded',
      after: [7, 8],
    })
    const result = timeToIntegration(simulated, { asOf, draws: 99 })
    for (const reflex of result.reflexes) {
      if ('notComputed' in reflex.median) throw new Error(reflex.median.notComputed)
      expect(reflex.median.interval.lower).toBeLessThanOrEqual(144.6)
      expect(reflex.median.interval.upper).toBeGreaterThanOrEqual(144.6)
      expect(reflex.median.right - reflex.median.left).toBeLessThan(20)
    }
  })
})
