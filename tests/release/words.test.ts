import { describe, expect, it } from 'vitest'
import { counted, people, percentWords } from '../../src/release/words.ts'

describe('words of a release', () => {
  it('say one as one and others as many', () => {
    expect([0, 1, 2].map((n) => counted(n, 'figure'))).toEqual(['0 figures', '1 figure', '2 figures'])
    expect([1, 2].map((n) => people(n, 'is', 'are'))).toEqual(['1 person is', '2 people are'])
    expect(people(1)).toBe('1 person')
  })

  it('never call a share none or all that is not', () => {
    expect([0, 1, 0.5, 0.2949].map((x) => percentWords(x))).toEqual(['0 %', '100 %', '50 %', '29 %'])
    expect(percentWords(1 / 100_000)).toBe('under 1 %')
    expect(percentWords(99_999 / 100_000)).toBe('over 99 %')
    expect(percentWords(1 / 100_000, 1)).toBe('under 0.1 %')
    expect(percentWords(99_999 / 100_000, 1)).toBe('over 99.9 %')
    expect(percentWords(0.0321, 1)).toBe('3.2 %')
  })
})
