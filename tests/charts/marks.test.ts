import { describe, expect, it } from 'vitest'
import {
  adherenceCalendarChart,
  courseChart,
  leftAgainstRightChart,
  startToLatestChart,
} from '../../src/charts/index.ts'

describe('the course of a series', () => {
  const DAY = 20_000
  const marksOf = (programmeStart: number | null, pastUsualAgeFrom: number | null = null): string[] => {
    const { spec } = courseChart({
      reflex: 'moro',
      side: 'midline',
      scaleMax: 4,
      status: 'fading',
      occasions: [
        { day: DAY, score: 3 },
        { day: DAY + 100, score: 2 },
      ],
      programmeStart,
      pastUsualAgeFrom,
    })
    return [...new Set(JSON.stringify(spec).match(/programme starts|usual upper age/g) ?? [])]
  }

  it('marks the start and the usual age where they lie in the time that is drawn, or about a month beside it', () => {
    for (const day of [DAY - 31, DAY, DAY + 50, DAY + 100, DAY + 131])
      expect(marksOf(day), `day ${day - DAY}`).toEqual(['programme starts'])
    for (const day of [DAY - 32, DAY + 132, null]) expect(marksOf(day)).toEqual([])
    expect(marksOf(DAY - 400, DAY + 50)).toEqual(['usual upper age'])
  })
})

describe('a calendar of adherence', () => {
  // 2024-01-01 was a Monday: day 19723.
  const days = [null, 0, 0.49, 0.5, 0.99, 1].map((dose, i) => ({ day: 19_723 + i, dose, logged: true }))
  const chart = adherenceCalendarChart([...days, { day: 19_729, dose: 0, logged: false }])

  it('tells nothing done from no diary, and the whole dose from most of it', () => {
    expect(chart.table.rows.map((row) => row.level)).toEqual([
      'none',
      'under half',
      'half or more',
      'half or more',
      'all',
      'no diary',
    ])
    // One of six days each; the day without a programme is no day.
    expect(chart.title).toBe('The whole dose on 17 % of days; no diary on 17 %')
    expect(chart.table.rows.at(-1)!.dose).toBeNull()
  })

  it('takes three thirds for a whole, however they add up', () => {
    const [row] = adherenceCalendarChart([{ day: 0, dose: 1 - 1e-12, logged: true }]).table.rows
    expect(row!.level).toBe('all')
  })
})

describe('both sides against each other', () => {
  const occasion = (
    reflex: 'babkin' | 'rooting',
    day: number,
    left: number | null,
    right: number | null,
  ) => ({
    reflex,
    day,
    left,
    right,
  })

  it('compare the last day on which both were scored, and no reflex that never had one', () => {
    const chart = leftAgainstRightChart([
      occasion('rooting', 100, 1, 0.25),
      occasion('rooting', 200, 0.5, 0.75),
      occasion('rooting', 300, 1, null),
      occasion('babkin', 100, 1, null),
      occasion('babkin', 200, null, 0),
    ])
    // Rooting on day 200: 0.5 to 0.75, a quarter of the scale.
    expect(chart.title).toBe('Widest gap now: Rooting, right higher by 25 % of the scale')
    expect(chart.subtitle).toMatch(/^2 occasions with both sides scored, 2 reflexes$/)
    expect(leftAgainstRightChart([occasion('babkin', 100, 1, null)]).title).toBe(
      'No day with both sides scored',
    )
    expect(leftAgainstRightChart([occasion('babkin', 100, 0.5, 0.5)]).title).toMatch(
      /^Both sides score the same/,
    )
  })
})

describe('severity at the start against now', () => {
  const row = (client_id: string, baseline: number, latest: number) => ({
    client_id,
    reflex: 'moro' as const,
    baseline,
    latest,
  })

  it('names three of those who share a point and counts the others', () => {
    const rows = (n: number) => Array.from({ length: n }, (_, i) => row(`SM-${i + 1}`, 1, 0.5))
    const whoOf = (n: number) => /"who":"([^"]*)"/.exec(JSON.stringify(startToLatestChart(rows(n)).spec))?.[1]
    expect([1, 3, 5].map(whoOf)).toEqual([
      'SM-1 Moro',
      'SM-1 Moro, SM-2 Moro, SM-3 Moro',
      'SM-1 Moro, SM-2 Moro, SM-3 Moro and 2 more',
    ])
  })
})
