import { describe, expect, it } from 'vitest'
import { clientFlow, excludedCount, improvementFunnel, isComputed } from '../../src/measures/index.ts'
import type { Assessment, Client, ProgrammeLine } from '../../src/records/index.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-12-31')
const OLD = '2015-01-01'

/** A client with a baseline of `from` on the start and `to` 84 days later. */
function course(id: string, from: number, to: number, changes: Partial<Client> = {}) {
  return {
    client: client(id, OLD, changes),
    line: line(id, 'moro', 'midline', '2024-01-01'),
    // 1 January + 84 days is 25 March 2024.
    scores: scores(id, 'moro', 'midline', [
      ['2024-01-01', from],
      ['2024-03-25', to],
    ]),
  }
}
const caseload = (
  courses: readonly { client: Client; line: ProgrammeLine; scores: Assessment[] }[],
  extra: { clients?: Client[]; assessments?: Assessment[]; programmes?: ProgrammeLine[] } = {},
) =>
  recordsOf({
    clients: [...courses.map((c) => c.client), ...(extra.clients ?? [])],
    assessments: [...courses.flatMap((c) => c.scores), ...(extra.assessments ?? [])],
    programmes: [...courses.map((c) => c.line), ...(extra.programmes ?? [])],
  })

/** Baselines 4 and 3 in turn; SD near 0.5, so the assumed difference is near 0.64 points and a fall of 2 is reliable. */
const many = (clinician: string, n: number, improved: number) =>
  Array.from({ length: n }, (_, k) =>
    course(`${clinician}${k}`, 4 - (k % 2), k < improved ? 1 : 4 - (k % 2), { clinician, site: 'Heron' }),
  )

describe('the funnel', () => {
  const records = caseload(
    [...many('zed', 6, 3), ...many('amy', 8, 8), ...many('few', 4, 0), ...many('', 0, 0)],
    {
      clients: [client('x', OLD)],
    },
  )
  const r = improvementFunnel(records, { asOf, by: 'clinician' })
  if (!isComputed(r.funnel)) throw new Error(r.funnel.notComputed)
  const { funnel } = r

  it('counts clients, by name, and shows no group under 5', () => {
    expect(funnel.points.map((p) => [p.name, p.n, p.improved])).toEqual([
      ['amy', 8, 8],
      ['zed', 6, 3],
    ])
    expect(funnel.notShown).toEqual({ groups: 1, clients: 4 })
    expect(funnel.overall).toBeCloseTo(11 / 18, 12)
  })

  it('accounts for everybody', () => {
    expect(r).toMatchObject({ enrolled: 19, n: 18 })
    expect(r.enrolled).toBe(r.n + excludedCount(r.exclusions))
  })

  it('has no ranking: names are in order whatever the shares', () => {
    expect(Object.keys(funnel.points[0]!)).not.toContain('rank')
    expect(funnel.points.map((p) => p.name)).toEqual(['amy', 'zed'])
  })

  it('has limits for every size shown, at both levels', () => {
    expect(funnel.limits.map((l) => [l.n, l.level])).toEqual(
      [5, 6, 7, 8].flatMap((n) => [
        [n, 0.95],
        [n, 0.998],
      ]),
    )
    // 8 of 8 at an overall 11/18: (11/18)^8 = 0.0195, under 2.5 % and over 0.1 %: beyond the 95 % limit of 7/8 only.
    expect(funnel.points[0]).toMatchObject({ outside95: true, outside998: false })
    // R: qbinom(c(.025, .975, .001, .999), 8, 11/18) is 2, 7, 1, 8.
    expect(funnel.limits.filter((l) => l.n === 8).map((l) => [8 * l.lower, 8 * l.upper])).toEqual([
      [2, 7],
      [1, 8],
    ])
  })

  it('says why there is none', () => {
    const small = improvementFunnel(caseload(many('amy', 4, 2)), { asOf, by: 'clinician' })
    expect(small.funnel).toEqual({
      notComputed: 'No funnel: no clinician has 5 clients or more with a follow-up.',
    })
    const nameless = improvementFunnel(caseload([course('a', 4, 1), course('b', 3, 1)]), { asOf, by: 'site' })
    // The invented client has the site Heron unless changed, so by site there is a name, but too few clients.
    expect(isComputed(nameless.funnel)).toBe(false)
  })
})

describe('the flow of clients', () => {
  it('counts everyone once, at the furthest stage reached', () => {
    const records = caseload(
      [
        course('analysed', 4, 2),
        { ...course('infant', 4, 2), client: client('infant', '2023-12-01') },
        { ...course('no birth date', 4, 2), client: client('no birth date', null) },
      ],
      {
        clients: ['no score', 'no line', 'no baseline', 'left', 'late'].map((id) =>
          client(id, OLD, id === 'left' ? { discharged_on: on('2024-02-01') } : {}),
        ),
        assessments: [
          ...scores('no line', 'moro', 'midline', [['2024-01-01', 3]]),
          ...scores('no baseline', 'moro', 'midline', [
            ['2023-10-01', 3],
            ['2024-03-25', 2],
          ]),
          ...scores('left', 'moro', 'midline', [['2024-01-01', 3]]),
          ...scores('late', 'moro', 'midline', [
            ['2024-01-01', 3],
            ['2024-08-01', 3],
          ]),
        ],
        programmes: ['no baseline', 'left', 'late'].map((id) => line(id, 'moro', 'midline', '2024-01-01')),
      },
    )
    const flow = clientFlow(records, { asOf })
    expect(flow.stages.map((s) => [s.stage, s.clients, excludedCount(s.left)])).toEqual([
      ['enrolled', 8, 0],
      ['with a score', 7, 1],
      ['with a programme for a scored reflex', 6, 1],
      ['with a baseline', 5, 1],
      ['with a follow-up', 3, 2],
      ['analysed', 1, 2],
    ])
    expect(flow).toMatchObject({ enrolled: 8, n: 1 })
    expect(flow.enrolled).toBe(flow.n + excludedCount(flow.exclusions))
  })
})
