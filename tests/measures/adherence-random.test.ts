import { describe, expect, it } from 'vitest'
import { adherence, type LineAdherence } from '../../src/measures/index.ts'
import type { ProgrammeLine, Session, Side, Target } from '../../src/records/index.ts'
import { clopperPearsonInterval, type RandomStream, seededStream } from '../../src/statistics/index.ts'
import { slowAdherence } from './adherence-by-hand.ts'
import { prescribed, session } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'
import { simulateCaseload } from './simulate.ts'

const ASKED_FROM = on('2024-02-20')
const asOf = ASKED_FROM + 40
const TARGETS: readonly Target[] = ['moro', 'rooting', 'ear_stimulation']
const SIDES: readonly Side[] = ['left', 'right', 'midline']
const pick = <T>(r: RandomStream, xs: readonly T[]): T => xs[r.below(xs.length)]!

/** A few clients with lines that overlap, end, restart, lack figures, begin too late; rows on and off the programme. */
function mess(seed: number) {
  const r = seededStream(seed, ['messy adherence'])
  const clients = ['a', 'b', 'c'].map((id) =>
    client(id, null, { discharged_on: r.below(3) === 0 ? ASKED_FROM + r.below(50) : null }),
  )
  const programmes = Array.from({ length: 12 }, (): ProgrammeLine => {
    const from = ASKED_FROM + r.below(45)
    return {
      ...prescribed(pick(r, clients).client_id, pick(r, TARGETS), pick(r, SIDES), '2024-01-01', null),
      starts_on: from,
      ends_on: r.below(3) === 0 ? null : from + r.below(20) - 2,
      sessions_per_day: pick(r, [0.5, 1, 2, 3]),
      ...pick(r, [
        { reps_per_session: 10, seconds_per_session: null },
        { reps_per_session: null, seconds_per_session: 45.5 },
        { reps_per_session: 20, seconds_per_session: 30 },
      ]),
    }
  })
  const sessions = Array.from(
    { length: 400 },
    (): Session => ({
      ...session(pick(r, ['a', 'b', 'c', 'stranger']), pick(r, TARGETS), pick(r, SIDES), '2024-01-01'),
      done_on: ASKED_FROM - 3 + r.below(50),
      reps: r.below(4) === 0 ? null : r.below(40),
      seconds: r.below(4) === 0 ? null : r.below(90) / 2,
    }),
  )
  return { clients, programmes, sessions }
}

/** Lines of one client, target and side, added up. */
const added = (lines: readonly LineAdherence[]) => ({
  lineDays: lines.reduce((n, l) => n + l.lineDays, 0),
  logged: lines.reduce((n, l) => n + l.loggedLineDays, 0),
  full: lines.reduce((n, l) => n + l.daysInFullCount, 0),
  touched: lines.reduce((n, l) => n + l.daysTouchedCount, 0),
  over: lines.reduce((n, l) => n + l.overDoseDaysCount, 0),
  sessions: lines.reduce((n, l) => n + l.sessionsDone, 0),
})

describe('the fast road over codes and days', () => {
  it('gives what the definitions give day by day, on 40 messy caseloads', () => {
    let compared = 0
    for (let seed = 1; seed <= 40; seed++) {
      const part = mess(seed)
      const fast = adherence(recordsOf(part), { asOf })
      for (const c of part.clients)
        for (const target of TARGETS)
          for (const side of SIDES) {
            const lines = fast.lines.filter((l) => l.id === `${target}/${side}/${c.client_id}`)
            if (lines.length === 0) continue
            const { dose, longestGap, ...slow } = slowAdherence(
              c,
              target,
              side,
              part.programmes,
              part.sessions,
              asOf,
            )
            expect(added(lines), `seed ${seed}, ${target}/${side}/${c.client_id}`).toEqual(slow)
            const total = lines.reduce((sum, l) => sum + l.doseFraction.asLogged! * l.lineDays, 0)
            expect(total).toBeCloseTo(dose, 9)
            // Stretches that touch without overlapping are counted apart: their gaps are not joined.
            expect(Math.max(...lines.map((l) => l.longestGap))).toBeLessThanOrEqual(longestGap)
            compared++
          }
    }
    expect(compared).toBeGreaterThan(300)
  })

  it('loses no session and counts none twice', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const part = mess(seed)
      const r = adherence(recordsOf(part), { asOf })
      const { read, onProgramme, offProgramme, afterAsOf, ofUnknownClient } = r.sessions
      expect(onProgramme + offProgramme + afterAsOf + ofUnknownClient).toBe(read)
      expect(r.lines.reduce((n, l) => n + l.sessionsDone, 0)).toBe(onProgramme)
      expect(r.clients.reduce((n, c) => n + c.sessionsDone, 0)).toBe(onProgramme)
      expect(r.calendarWeeks.reduce((n, w) => n + w.sessionsDone, 0)).toBe(onProgramme)
      expect(r.programmeWeeks.reduce((n, w) => n + w.sessionsDone, 0)).toBe(onProgramme)
      expect(r.linesUsed + r.linesExcluded.reduce((n, e) => n + e.count, 0)).toBe(r.linesRead)
    }
  })

  it('is the same whatever the order of the rows', () => {
    const part = mess(7)
    const forward = adherence(recordsOf(part), { asOf })
    const backward = adherence(recordsOf({ ...part, sessions: [...part.sessions].reverse() }), { asOf })
    // Sums of halves are exact, so equal to the last digit.
    expect(backward.lines).toEqual(forward.lines)
    expect(backward.clients).toEqual(forward.clients)
  })
})

describe('known adherence', () => {
  it('lies inside its exact interval at the stated rate', () => {
    const simulated = simulateCaseload(20261125, { clients: 400, reflexesPerClient: 1, withSessions: true })
    // Each line is logged day by day up to the client's last assessment: taken to that day, client by client.
    const last = new Map<string, number>()
    for (const a of simulated.records.assessments)
      last.set(a.client_id, Math.max(last.get(a.client_id) ?? 0, a.assessed_on))
    const programmes = simulated.records.programmes.map((p) => ({ ...p, ends_on: last.get(p.client_id)! }))
    const r = adherence({ ...simulated.records, programmes }, { asOf: simulated.asOf })
    const inside = r.clients.filter((c) => {
      const { interval } = clopperPearsonInterval(c.daysTouchedCount, c.lineDays)
      const truth = simulated.adherence.get(c.client_id)!
      return interval.lower! <= truth && truth <= interval.upper!
    }).length
    expect(r.clients.length).toBe(400)
    // At least 95 % of 400 = 380; 4 standard errors of 0.0109 below that are 362.
    expect(inside).toBeGreaterThanOrEqual(362)
    expect(inside).toBeLessThan(400)
  })
})
