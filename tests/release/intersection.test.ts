import { describe, expect, it } from 'vitest'
import {
  intersectionRisk,
  makeRelease,
  type ReleasedPerson,
  releasedPeople,
} from '../../src/release/index.ts'
import { load } from '../load/folder.ts'
import { plainExports } from './clinic.ts'

const person = (name: string, value: string, ...scores: string[]): ReleasedPerson => ({
  person: name,
  values: [value],
  scores,
})

describe('two releases laid side by side, worked out by hand', () => {
  // Class X holds 3 people before and 4 now, class Y one and one. Only P1 has the same pseudonym.
  const before = [
    person('P1', 'X', 'a'),
    person('P2', 'X', 'b'),
    person('P3', 'X', 'b'),
    person('P4', 'Y', 'c', 'c'),
  ]
  const now = [
    person('P1', 'X', 'a', 'b'),
    person('Q2', 'X', 'b'),
    person('Q3', 'X', 'b'),
    person('Q4', 'Y', 'c', 'c'),
    person('Q5', 'X', 'd', 'c'),
  ]
  const found = intersectionRisk(before, now, 3)

  it('are joined by pseudonym, and by scores where only one person has them all', () => {
    // "a" stands with P1 alone; "b" with P1, Q2 and Q3; two "c" with Q4 alone, though Q5 has one.
    expect(found).toMatchObject({ peopleBefore: 4, peopleNow: 5, joined: 1, joinedByScores: 2 })
  })

  it('tell of whoever is new: 4 − 3 = 1 in X, fewer than 3', () => {
    expect(found).toMatchObject({ newInSmallGroups: 1, goneInSmallGroups: 0 })
    // The other way round the one has gone.
    expect(intersectionRisk(now, before, 3)).toMatchObject({ newInSmallGroups: 0, goneInSmallGroups: 1 })
    // With three new ones at k = 3 nobody is among fewer than three.
    const three = [...now, person('Q6', 'X', 'b'), person('Q7', 'X', 'b')]
    expect(intersectionRisk(before, three, 3).newInSmallGroups).toBe(0)
  })

  it('have joined people in groups smaller than k: P1 alone in X and X, P4 alone in Y and Y', () => {
    expect(found.joinedBelowK).toBe(2)
    expect(intersectionRisk(before, now, 1).joinedBelowK).toBe(0)
  })

  it('warn in words with these figures', () => {
    expect(found.warning).toContain('1 person has the same pseudonym')
    expect(found.warning).toContain('2 people of the earlier release can be joined by scores alone')
    expect(found.warning).toContain('1 person is new in groups to which fewer than 3 came')
  })

  it('give nothing away where nobody is in both', () => {
    const others = [person('R1', 'Z', 'x'), person('R2', 'Z', 'x')]
    expect(intersectionRisk(before, others, 3)).toMatchObject({
      joined: 0,
      joinedByScores: 0,
      joinedBelowK: 0,
      newInSmallGroups: 0,
    })
  })
})

describe('two releases of a growing clinic, from their files', () => {
  const textOf = (made: ReturnType<typeof makeRelease>, name: string): string =>
    String(made.files.find((f) => f.name === name)!.content)
  const secret = (x: number) => new Uint8Array(32).fill(x)

  it('with one secret join everybody who is in both, with two nobody by pseudonym; both warn', async () => {
    const [was, is] = [await load(plainExports(60)), await load(plainExports(66))]
    const first = makeRelease(was.records, { asOf: was.asOf, secret: secret(1) })
    const previous = releasedPeople(textOf(first, 'people.csv'), textOf(first, 'scores.csv'))
    const ids = (text: string) =>
      new Set(
        text
          .trimEnd()
          .split('\n')
          .slice(1)
          .map((line) => line.split(',')[0]!),
      )
    for (const key of [1, 2]) {
      const made = makeRelease(is.records, { asOf: is.asOf, secret: secret(key), previous })
      const [before, now] = [ids(textOf(first, 'people.csv')), ids(textOf(made, 'people.csv'))]
      const shared = [...before].filter((id) => now.has(id)).length
      expect(made.risk.intersection).toMatchObject({ peopleBefore: before.size, joined: shared })
      expect(shared > 40).toBe(key === 1)
      expect(made.risk.intersection!.warning).toMatch(/Whoever holds both knows more/)
    }
  })
})
