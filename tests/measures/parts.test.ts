import { describe, expect, it } from 'vitest'
import { adherence, adherenceOfPart, beforeAndAfter, changeOfPart } from '../../src/measures/index.ts'
import { recordsWhere } from '../../src/records/index.ts'
import { simulateCaseload } from './simulate.ts'

/** The oracle is the measure itself on records that hold nothing but the part. */
const { records, asOf } = simulateCaseload(3, { clients: 40, reflexesPerClient: 3, withSessions: true })
const number = new Map(records.clients.map((c, i) => [c.client_id, i]))
const atHeron = (id: string): boolean => number.get(id)! % 3 === 0
const log = adherence(records, { asOf })

describe('adherence of a part', () => {
  it('is, by client, what the measure says of the records of those clients alone', () => {
    const part = adherenceOfPart(log, (l) => atHeron(l.client_id))
    const alone = adherence(
      recordsWhere(records, (c) => atHeron(c.client_id)),
      { asOf },
    )
    expect(part.calendarWeeks).toEqual(alone.calendarWeeks)
    expect(part.doseFraction).toEqual(alone.caseload.doseFraction)
    expect(part.clients).toBe(alone.clients.length)
    expect(part.clients).toBeGreaterThan(5)
  })

  it('is, by reflex, what its lines add up to', () => {
    const target = log.lines[0]!.target
    const lines = log.lines.filter((l) => l.target === target)
    const part = adherenceOfPart(log, (l) => l.target === target)
    const days = lines.reduce((sum, l) => sum + l.lineDays, 0)
    // The mean over line-days is the mean of the lines' means, weighted by their days.
    const dose = lines.reduce((sum, l) => sum + l.lineDays * l.doseFraction.asLogged!, 0) / days
    expect(part.lineDays).toBe(days)
    expect(part.doseFraction.asLogged).toBeCloseTo(dose, 12)
    expect(part.lineDays).toBeLessThan(log.caseload.lineDays)
  })

  it('of nobody is nothing', () => {
    const none = adherenceOfPart(log, () => false)
    expect([none.clients, none.calendarWeeks, none.doseFraction.asLogged]).toEqual([0, [], null])
  })
})

describe('before and after of a part', () => {
  const change = beforeAndAfter(records, { asOf, draws: 50 })
  const horizon = change.horizons[change.headline]

  it('has the rows of the tables by reflex, but for the adjustment over rows', () => {
    for (const row of horizon.byReflex)
      expect(changeOfPart(change, horizon, row.label, (p) => p.reflex === row.label)).toEqual({
        ...row,
        pHolm: null,
      })
  })

  it('of everybody is the row over all', () => {
    expect(changeOfPart(change, horizon, 'all reflexes', () => true)).toEqual(horizon.overall.byClient)
  })
})
