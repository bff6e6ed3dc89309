import { describe, expect, it } from 'vitest'
import type { Adherence, BeforeAndAfter, PhaseModel, SideRatio } from '../../src/measures/index.ts'
import {
  caseloadInShort,
  flaggedRatios,
  phaseWords,
  readingSentence,
  sidesOff,
} from '../../src/wording/index.ts'

const over = (left: number, right: number, prescribed: number) => ({
  from: 20_000,
  to: 20_027,
  leftDelivered: left,
  rightDelivered: right,
  leftPrescribed: 100 * prescribed,
  rightPrescribed: 100,
  ratio: left + right === 0 ? null : left / right,
  prescribedRatio: prescribed,
  logDeviation: left + right === 0 ? null : Math.log(left / right / prescribed),
})

function ratio(
  client_id: string,
  left: number,
  right: number,
  prescribed: number,
  flagged: boolean,
): SideRatio {
  const recent = over(left, right, prescribed)
  return { client_id, target: 'babkin', unit: 'reps', recent, whole: recent, flagged }
}

// By hand: A is off twice, which is one client; B is as prescribed; C did nothing, so nothing can be compared.
const RATIOS = [
  ratio('B', 100, 100, 1, false),
  ratio('A', 150, 100, 1, true),
  ratio('A', 10, 100, 1, true),
  ratio('C', 0, 0, 1, false),
]

const adherence = (sideRatios: readonly SideRatio[], asLogged: number | null) =>
  ({
    sideRatios,
    caseload: { doseFraction: { asLogged, loggedDaysOnly: asLogged === null ? null : 0.648 } },
  }) as unknown as Adherence

const change = (improved: object) =>
  ({
    headline: 'weeks12',
    horizons: { weeks12: { overall: { byClient: { improved } } } },
  }) as unknown as BeforeAndAfter

describe('the head of a caseload review', () => {
  it('counts clients, not exercises, and only those whose sides can be compared', () => {
    expect(sidesOff(RATIOS)).toEqual({ compared: 2, off: 1 })
    expect(sidesOff([])).toEqual({ compared: 0, off: 0 })
  })

  it('answers whether it is more than growing up and measuring error, the dose and the sides', () => {
    const words = caseloadInShort({
      phases: { verdict: 'steeper fall after the start' },
      change: change({ estimate: 0.221, events: 46, n: 208 }),
      log: adherence(RATIOS, 0.563),
    })
    expect(words).toBe(
      'Scores fell faster after programmes began than before: an association, no proof. 22 % of series improved reliably. Dose: 56 to 65 %. Sides not as prescribed: 1 of 2 clients.',
    )
  })

  it('says so where it cannot be known, and leaves out what is not there', () => {
    const words = caseloadInShort({
      phases: { verdict: 'cannot be told apart' },
      change: change({ notComputed: 'No series can be judged.' }),
      log: adherence([], null),
    })
    expect(words).toBe('Growing up and the programmes cannot be told apart in these records.')
  })

  it('names the sides that are furthest from the prescription first, each with its unit', () => {
    // ln(0.1) is further from 0 than ln(1.5).
    const rows = flaggedRatios(adherence(RATIOS, null))
    expect(rows.map((r) => [r.client.text, r.left, r.right, r.counted, r.done])).toEqual([
      ['A', 10, 100, 'repetitions', '0.10 : 1'],
      ['A', 150, 100, 'repetitions', '1.50 : 1'],
    ])
  })
})

describe('whether it is growing up', () => {
  const phases = (agree: boolean) =>
    ({
      sentence: 'Scores fell faster. An association: what else changed at the start changed with it.',
      agreement: { agree, sentence: 'The models say this of each other.' },
      readingNote: 'An association.',
    }) as unknown as PhaseModel

  it('says what the models say of each other only where they disagree, and says nothing twice', () => {
    expect(phaseWords(phases(true))).toBe('Scores fell faster. An association.')
    expect(phaseWords(phases(false))).toBe(
      'Scores fell faster. The models say this of each other. An association.',
    )
  })
})

describe('the account of what was read', () => {
  const file = (records: number, rejected: number, counts: readonly number[]) => ({
    file: 'a.csv',
    kinds: ['sessions'],
    records,
    kept: records - rejected,
    rejected,
    rows: records - rejected,
    problems: counts.map((count) => ({ rule: 'unreadable_number' as const, count, examples: [] })),
  })

  it('tells records that were rejected from fields that were left blank, so that the counts below it add up', () => {
    // By hand: 30 + 8 problems, of which 11 cost a record: 27 fields.
    expect(readingSentence([file(62_000, 10, [30]), file(400, 1, [8])])).toBe(
      '62,400 records read = 62,389 kept + 11 rejected. Of 38 problems, 11 cost a record and 27 a field, which was left blank. `waneline read` writes each of them, with file and line, to problems.csv.',
    )
    expect(readingSentence([file(1, 0, [])])).not.toContain('field')
  })
})
