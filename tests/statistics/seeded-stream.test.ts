import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { seededStream, xoshiro128 } from '../../src/statistics/seeded-stream.ts'

describe('seededStream', () => {
  it('gives the words of the reference program', () => {
    // First outputs of xoshiro128starstar.c 1.1 (prng.di.unimi.it) from the state 1, 2, 3, 4.
    const next = xoshiro128([1, 2, 3, 4])
    expect(Array.from({ length: 10 }, next)).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ])
  })

  it('is seeded by SHA-256 of seed and key', () => {
    const digest = createHash('sha256').update('[7,"moro","left"]').digest()
    const expected = xoshiro128(
      [0, 4, 8, 12].map((at) => digest.readUInt32LE(at)) as [number, number, number, number],
    )
    expect(seededStream(7, ['moro', 'left']).word()).toBe(expected())
  })

  it('does not care what other streams did, and tells near keys apart', () => {
    const first = seededStream(1, 'a')
    const before = first.word()
    const other = seededStream(1, 'b')
    for (let i = 0; i < 100; i++) other.word()
    expect(seededStream(1, 'a').word()).toBe(before)
    const starts = [
      seededStream(1, ['a', 'bc']),
      seededStream(1, ['ab', 'c']),
      seededStream('1', ['a', 'bc']),
      seededStream(1, 'abc'),
    ].map((stream) => stream.word())
    expect(new Set(starts).size).toBe(4)
  })

  it('stays the same from release to release', () => {
    const stream = seededStream(2024, 'release')
    expect([stream.below(6), stream.below(6), stream.below(6)]).toEqual(pinned.dice)
    expect(stream.uniform()).toBe(pinned.uniform)
    expect(stream.normal()).toBe(pinned.normal)
    expect(stream.shuffle([1, 2, 3, 4, 5, 6])).toEqual(pinned.shuffled)
  })

  it('is even over small bounds and normal in its moments', () => {
    const stream = seededStream(3, 'moments')
    const counts = new Array<number>(7).fill(0)
    const n = 70_000
    for (let i = 0; i < n; i++) counts[stream.below(7)]!++
    const chiSquare = counts.reduce((sum, c) => sum + (c - n / 7) ** 2 / (n / 7), 0)
    expect(chiSquare).toBeLessThan(22.5) // 0.999 quantile of chi-square with 6 df: 22.46
    const normals = Array.from({ length: 20_000 }, () => stream.normal())
    const mean = normals.reduce((a, b) => a + b, 0) / normals.length
    const variance = normals.reduce((a, b) => a + (b - mean) ** 2, 0) / normals.length
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(20_000))
    expect(Math.abs(variance - 1)).toBeLessThan(4 * Math.sqrt(2 / 20_000))
  })

  it('draws below bounds past 2^21 too, and refuses what is no bound', () => {
    const stream = seededStream(3, 'large')
    const draws = Array.from({ length: 1000 }, () => stream.below(3_000_000_000))
    expect(Math.max(...draws)).toBeGreaterThan(2_900_000_000)
    expect(draws.every((d) => Number.isInteger(d) && d >= 0 && d < 3_000_000_000)).toBe(true)
    for (const bound of [0, -1, 1.5, Number.NaN]) expect(() => stream.below(bound)).toThrow('whole bound')
    expect(() => seededStream(Number.NaN, 'a')).toThrow('finite seed')
  })
})

const pinned = {
  dice: [0, 2, 4],
  uniform: 0.6486040474069961,
  normal: 0.6433184069388641,
  shuffled: [2, 1, 3, 6, 5, 4],
}
