import { describe, expect, it } from 'vitest'
import { intersectionRisk, makeRelease, releasedPeople, riskMarkdown } from '../../src/release/index.ts'
import { load } from '../load/folder.ts'
import { plainExports } from './clinic.ts'

describe('what is said of an earlier release', () => {
  const person = (name: string, ...scores: string[]) => ({ person: name, values: ['X'], scores })

  it('names what was found and is silent on what was not', () => {
    const two = [person('P1', 'a'), person('P2', 'b')]
    const none = intersectionRisk(two, [person('Q1', 'c'), person('Q2', 'd')], 2).warning
    expect(none).toContain('no pseudonym stands in both; nobody can be joined by all their scores')
    expect(none).not.toMatch(/left groups|new in groups|0 people/)
    // One of two has left a group that fewer than two left.
    expect(intersectionRisk(two, [person('P1', 'a')], 2).warning).toMatch(
      /; 1 person left groups that fewer than 2 left/,
    )
  })

  it('tells in the report the larger of the two numbers that can be joined, or that nothing was measured', async () => {
    const { records, asOf } = await load(plainExports(60))
    const secret = (x: number) => new Uint8Array(32).fill(x)
    const first = makeRelease(records, { asOf, secret: secret(1) })
    const textOf = (name: string): string => String(first.files.find((f) => f.name === name)!.content)
    expect(riskMarkdown(first.risk)).toContain('not measured: none was named (--previous)')
    const previous = releasedPeople(textOf('people.csv'), textOf('scores.csv'))
    for (const key of [1, 2]) {
      const { risk } = makeRelease(records, { asOf, secret: secret(key), previous })
      const { joined, joinedByScores, peopleBefore } = risk.intersection!
      // With one secret everybody is joined by pseudonym; with another whoever has scores of their own.
      expect(joined).toBe(key === 1 ? peopleBefore : 0)
      const likely = key === 1 ? peopleBefore : joinedByScores
      expect(riskMarkdown(risk)).toContain(`${likely} of ${peopleBefore} can be joined`)
    }
  })
})
