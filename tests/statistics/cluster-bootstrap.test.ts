import { describe, expect, it } from 'vitest'
import { type ClusterDraw, clusterBootstrap } from '../../src/statistics/cluster-bootstrap.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'

const cluster = ['b', 'a', 'a', 'c', 'b', 'b']
const value = [4, 1, 2, 10, 5, 6]
const weightedMean = ({ rowCounts }: ClusterDraw) => {
  let sum = 0
  let n = 0
  rowCounts.forEach((count, i) => {
    sum += count * value[i]!
    n += count
  })
  return sum / n
}

describe('clusterBootstrap', () => {
  it('has the standard error of listing all 27 resamples of three clusters', () => {
    const clusters = [
      { sum: 3, n: 2 },
      { sum: 15, n: 3 },
      { sum: 10, n: 1 },
    ]
    const all = clusters.flatMap((a) =>
      clusters.flatMap((b) => clusters.map((c) => (a.sum + b.sum + c.sum) / (a.n + b.n + c.n))),
    )
    const centre = all.reduce((a, b) => a + b, 0) / 27
    const spread = Math.sqrt(all.reduce((a, b) => a + (b - centre) ** 2, 0) / 27)
    const result = clusterBootstrap(cluster, weightedMean, { draws: 40_000 })
    expect(result.estimate).toBeCloseTo(28 / 6, 12)
    expect(Math.abs(result.mean - centre)).toBeLessThan((4 * spread) / 200)
    expect(Math.abs(result.standardError / spread - 1)).toBeLessThan(0.02)
    expect([result.nRows, result.nClusters]).toEqual([6, 3])
  })

  it('hands out rows, counts and copies that say the same', () => {
    let seen = 0
    clusterBootstrap(
      cluster,
      (draw) => {
        const rows = draw.rows()
        const copies = draw.copies()
        const counts = new Int32Array(6)
        for (const row of rows) counts[row]!++
        expect(counts).toEqual(draw.rowCounts)
        // Rows of one copy are exactly one whole cluster.
        for (const copy of new Set(copies)) {
          const own = Array.from(rows).filter((_, i) => copies[i] === copy)
          const name = cluster[own[0]!]!
          expect(own).toEqual(Array.from(cluster.keys()).filter((i) => cluster[i] === name))
        }
        seen++
        return rows.length
      },
      { draws: 20 },
    )
    expect(seen).toBe(1 + 3 + 20)
  })

  it('draws within strata', () => {
    const strata = ['x', 'y', 'y', 'x', 'x', 'x'] // b and c in x, a in y
    const draws = new Set<string>()
    clusterBootstrap(
      cluster,
      ({ rowCounts }) => {
        draws.add(rowCounts.join())
        return rowCounts[0]!
      },
      { draws: 200, strata },
    )
    // The only cluster of y always comes once: apart from the jackknife's turn without it, row 1 counts once.
    expect([...draws].filter((counts) => counts[2] === '1').length).toBe(draws.size - 1)
    expect(() => clusterBootstrap(['a', 'a', 'b'], () => 1, { strata: [1, 2, 1] })).toThrow(
      'within one stratum',
    )
  })

  it('does not mind the order of the rows', () => {
    const reversed = clusterBootstrap(
      cluster.toReversed(),
      ({ rowCounts }) => {
        const total = rowCounts.reduce((a, b) => a + b, 0)
        return rowCounts.reduce((sum, count, i) => sum + count * value[5 - i]!, 0) / total
      },
      { draws: 100 },
    )
    const result = clusterBootstrap(cluster, weightedMean, { draws: 100 })
    expect(reversed.percentile.lower).toBeCloseTo(result.percentile.lower!, 12)
    expect(reversed.bca.upper).toBeCloseTo(result.bca.upper!, 12)
  })

  it('says what it cannot do', () => {
    expect(() => clusterBootstrap([], () => 1)).toThrow('two clusters; found 0')
    expect(() => clusterBootstrap(['a', 'a'], () => 1)).toThrow('two clusters; found 1')
    expect(() => clusterBootstrap(['a', 'b'], () => Number.NaN)).toThrow('a number on the sample')
    expect(() => clusterBootstrap(['a', 'b'], () => 1, { strata: [1] })).toThrow('a stratum a row')
  })

  it('takes 10,000 draws of a mean difference over 2,000 clients in under 2 s', () => {
    const stream = seededStream(1, 'speed')
    const clients = Array.from({ length: 2000 }, (_, i) => `client ${i}`)
    const change = Float64Array.from(clients, () => stream.normal())
    // Processor time: other work on the machine is not ours to fail by.
    const start = process.cpuUsage()
    clusterBootstrap(
      clients,
      ({ rowCounts }) => {
        const sums = [0, 0]
        const counts = [0, 0]
        for (let i = 0; i < rowCounts.length; i++) {
          sums[i % 2]! += rowCounts[i]! * change[i]!
          counts[i % 2]! += rowCounts[i]!
        }
        return sums[1]! / counts[1]! - sums[0]! / counts[0]!
      },
      { draws: 10_000 },
    )
    expect(process.cpuUsage(start).user / 1e6).toBeLessThan(2)
  })
})
