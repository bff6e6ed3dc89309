import { describe, expect, it } from 'vitest'
import { allSeries, changePair, HORIZONS, isPair, reliableImprovement } from '../../src/measures/index.ts'
import { client, line, ONE_POINT, on, recordsOf, scores } from './rows.ts'

/** Start 1 January 2024; follow-up at 12 weeks is 25 March. */
function outcome(rows: readonly (readonly [string, number])[]) {
  const a = client('a', '2015-01-01')
  const asOf = on('2024-12-31')
  const records = recordsOf({
    clients: [a],
    assessments: scores('a', 'moro', 'midline', rows),
    programmes: [line('a', 'moro', 'midline', '2024-01-01')],
  })
  const pair = changePair(allSeries(records, { asOf })[0]!, a, HORIZONS.weeks12, asOf)
  if (!isPair(pair)) throw new Error(pair.reason)
  const { eligible, improved } = reliableImprovement(pair, ONE_POINT)
  return { eligible, improved }
}

describe('reliably improved or integrated', () => {
  it('is a fall by more than the difference', () => {
    expect(
      outcome([
        ['2024-01-01', 3],
        ['2024-03-25', 1],
      ]),
    ).toEqual({ eligible: true, improved: true })
    expect(
      outcome([
        ['2024-01-01', 3],
        ['2024-03-25', 2],
      ]),
    ).toEqual({ eligible: true, improved: false })
    expect(
      outcome([
        ['2024-01-01', 3],
        ['2024-03-25', 4],
      ]),
    ).toEqual({ eligible: true, improved: false })
  })

  it('counts only series whose baseline exceeds the difference: the others could not fall by more', () => {
    expect(
      outcome([
        ['2024-01-01', 1],
        ['2024-03-25', 0],
      ]),
    ).toEqual({ eligible: false, improved: false })
    expect(
      outcome([
        ['2024-01-01', 1.5],
        ['2024-03-25', 0],
      ]),
    ).toEqual({ eligible: true, improved: true })
    // Integrated, but from a baseline of one point: not among those counted.
    expect(
      outcome([
        ['2024-01-01', 1],
        ['2024-02-20', 0],
        ['2024-03-25', 0],
      ]),
    ).toEqual({
      eligible: false,
      improved: false,
    })
  })
})
