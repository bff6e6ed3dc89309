import { bootstrapInterval } from '../../src/statistics/bootstrap-interval.ts'
import { clusterBootstrap } from '../../src/statistics/cluster-bootstrap.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { type Coverage, type CoverageStudy, HOLDS, holds } from './study.ts'

const SIMULATIONS = 2000
const DRAWS = 399

const mean = (values: Float64Array) => {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  return sum / values.length
}

/** Both intervals of the mean of n values of a law with the given mean. */
function meanOf(law: 'normal' | 'exponential', n: number, expected: Coverage['expected']): Coverage[] {
  const truth = law === 'normal' ? 0 : 1
  let percentile = 0
  let bca = 0
  for (let simulation = 0; simulation < SIMULATIONS; simulation++) {
    const stream = seededStream(2024, ['coverage of the bootstrap', law, n, simulation])
    const values = Array.from({ length: n }, () =>
      law === 'normal' ? stream.normal() : -Math.log(stream.uniform()),
    )
    const result = bootstrapInterval(values, mean, { draws: DRAWS, seed: simulation })
    if (holds(result.percentile, truth)) percentile++
    if (holds(result.bca, truth)) bca++
  }
  const of = (what: string, covered: number): Coverage => ({
    what: `${what}, mean of ${n} from the ${law}`,
    covered,
    simulations: SIMULATIONS,
    expected,
  })
  return [of('percentile', percentile), of('BCa', bca)]
}

/** Mean change over clients with one to six series each that move together (intraclass correlation 1/2). */
function clustered(nClients: number, expected: Coverage['expected']): Coverage[] {
  let covered = 0
  for (let simulation = 0; simulation < SIMULATIONS; simulation++) {
    const stream = seededStream(2024, ['coverage of the cluster bootstrap', nClients, simulation])
    const cluster: number[] = []
    const value: number[] = []
    for (let client = 0; client < nClients; client++) {
      const own = stream.normal()
      const series = 1 + stream.below(6)
      for (let k = 0; k < series; k++) {
        cluster.push(client)
        value.push(own + stream.normal())
      }
    }
    const result = clusterBootstrap(
      cluster,
      ({ rowCounts }) => {
        let sum = 0
        let n = 0
        for (let i = 0; i < rowCounts.length; i++) {
          sum += rowCounts[i]! * value[i]!
          n += rowCounts[i]!
        }
        return sum / n
      },
      { draws: DRAWS, seed: simulation },
    )
    if (holds(result.percentile, 0)) covered++
  }
  const what = `percentile by cluster, mean over ${nClients} clients`
  return [{ what, covered, simulations: SIMULATIONS, expected }]
}

export const bootstrapStudy: CoverageStudy = {
  name: 'Bootstrap',
  run: () => [
    ...meanOf('normal', 50, HOLDS),
    ...meanOf('exponential', 100, HOLDS),
    ...meanOf('normal', 10, null),
    ...meanOf('normal', 20, null),
    ...clustered(60, HOLDS),
    ...clustered(15, null),
  ],
}
