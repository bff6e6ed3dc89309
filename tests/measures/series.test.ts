import { describe, expect, it } from 'vitest'
import { allSeries, latestSharedDay, requireAsOf, seriesId } from '../../src/measures/index.ts'
import { prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-12-31')

describe('series and occasions', () => {
  it('take the mean over a day’s raters', () => {
    const records = recordsOf({
      clients: [client('a', null)],
      assessments: scores('a', 'moro', 'midline', [
        ['2024-02-01', 1],
        ['2024-01-01', 2, 'r2'],
        ['2024-01-01', 3, 'r1'],
      ]),
    })
    const [series] = allSeries(records, { asOf })
    // (3 + 2) / 2 = 2.5 of 4.
    expect(series!.occasions).toEqual([
      { day: on('2024-01-01'), score: 2.5, severity: 0.625, raters: 2 },
      { day: on('2024-02-01'), score: 1, severity: 0.25, raters: 1 },
    ])
  })

  it('carry a score on another scale over as a share', () => {
    // 5 of 10 is 2 of 4.
    const rows = scores('a', 'moro', 'midline', [
      ['2024-01-01', 5],
      ['2024-02-01', 1],
    ])
    const records = recordsOf({
      clients: [client('a', null)],
      assessments: [{ ...rows[0]!, scale_max: 10 }, rows[1]!],
    })
    const [series] = allSeries(records, { asOf })
    expect(series).toMatchObject({ scaleMax: 4, mixedScales: true })
    expect(series!.occasions[0]).toMatchObject({ score: 2, severity: 0.5 })
  })

  it('keep apart what a joined key would merge', () => {
    const records = recordsOf({
      clients: [client('a', null), client('a/left', null)],
      assessments: [
        ...scores('a/left', 'rooting', 'left', [['2024-01-01', 1]]),
        ...scores('a', 'rooting', 'left', [['2024-01-01', 2]]),
      ],
    })
    expect(allSeries(records, { asOf }).map((s) => [s.client_id, s.occasions[0]!.score])).toEqual([
      ['a', 2],
      ['a/left', 1],
    ])
    expect(seriesId('a/left', 'rooting', 'left')).not.toBe(seriesId('left', 'rooting', 'left'))
  })

  it('know their own programme’s start and the client’s', () => {
    const records = recordsOf({
      clients: [client('a', null)],
      assessments: scores('a', 'rooting', 'left', [['2024-01-01', 1]]),
      programmes: [
        prescribed('a', 'rooting', 'left', '2024-03-01', null),
        prescribed('a', 'rooting', 'left', '2024-02-01', '2024-02-10'),
        prescribed('a', 'rooting', 'right', '2024-01-05', null),
        prescribed('a', 'rooting', 'left', '2025-01-01', null),
      ],
    })
    expect(allSeries(records, { asOf })[0]).toMatchObject({
      start: on('2024-02-01'),
      clientStart: on('2024-01-05'),
    })
  })
})

describe('the as-of day', () => {
  const records = recordsOf({
    clients: ['a', 'b', 'c'].map((id) => client(id, null)),
    assessments: ['a', 'b'].flatMap((id) => scores(id, 'moro', 'midline', [['2024-06-01', 1]])),
    sessions: [
      session('c', 'moro', 'midline', '2024-06-01'),
      session('c', 'moro', 'midline', '2042-06-01'),
      session('c', 'moro', 'midline', '2042-06-01'),
    ],
  })

  it('is suggested as the latest date on which three clients have records, not a stray one', () => {
    expect(latestSharedDay(records)).toBe(on('2024-06-01'))
    expect(() => requireAsOf(records, null)).toThrow('2024-06-01')
    expect(requireAsOf(records, 5)).toBe(5)
  })

  it('has nothing to suggest where no date has three clients', () => {
    expect(() => requireAsOf(recordsOf({ clients: [] }), undefined)).toThrow('no date')
  })
})
