import {
  type BootstrapSummary,
  bootstrapInterval,
  clusterBootstrap,
  type LawStep,
  type MedianBca,
  medianBootstrap,
} from '../../../src/statistics/index.ts'
import type { Adapter, CaseReader, Found } from './case-columns.ts'

export const bootstrapCase: Adapter = (reader) => {
  const statistic = String(reader.options.statistic)
  if (/^(the )?median/.test(statistic)) return exactMedian(reader)
  // As many resamples as the reference took: its tolerances are for fewer.
  const draws = Number(reader.expected.resamples ?? 9999)
  if (/\bslope\b/.test(statistic)) return clusterSlope(reader, draws)
  if (/\bmean\b/.test(statistic)) return meanChange(reader, draws)
  throw new Error(`unknown statistic: ${statistic}`)
}

function exactMedian(reader: CaseReader): Found {
  const [x, y] = samplesOf(reader)
  const law = medianBootstrap(x, y, { level: reader.level })
  const of = (name: string, bca: MedianBca) => ({
    [`z0_${name}`]: bca.biasCorrection,
    [`bca_${name}_level_lower`]: bca.levels[0],
    [`bca_${name}_level_upper`]: bca.levels[1],
    [`bca_${name}_lower`]: bca.bca.lower,
    [`bca_${name}_upper`]: bca.bca.upper,
  })
  return {
    statistic: law.estimate,
    bootstrap_mean: law.mean,
    bootstrap_se: law.standardError,
    percentile_lower: law.percentile.lower,
    percentile_upper: law.percentile.upper,
    acceleration_jackknife: law.acceleration,
    ...of('strict', law.strict),
    ...of('half_ties', law.halfTies),
    steps: {
      percentile_lower: stepOf(law.percentileSteps.lower),
      percentile_upper: stepOf(law.percentileSteps.upper),
      bca_strict_lower: stepOf(law.strict.steps?.lower),
      bca_strict_upper: stepOf(law.strict.steps?.upper),
      bca_half_ties_lower: stepOf(law.halfTies.steps?.lower),
      bca_half_ties_upper: stepOf(law.halfTies.steps?.upper),
    },
  }
}

const stepOf = (step: LawStep | undefined) =>
  step && {
    level: step.level,
    cdf_below: step.cumulativeBelow,
    value_below: step.valueBelow,
    value: step.value,
    cdf_at: step.cumulative,
    value_above: step.valueAbove,
  }

type Values = (number | null)[]

function samplesOf(reader: CaseReader): [Values, Values | null] {
  if (reader.has('pre')) return [changes(reader), null]
  if (reader.has('group')) {
    const value = reader.numbers('value')
    const group = reader.texts('group')
    const of = (role: string) => value.filter((_, i) => group[i] === String(reader.columns?.[role]))
    return [of('group1'), of('group2')]
  }
  if (reader.has('group1')) return [reader.numbers('group1'), reader.numbers('group2')]
  return [reader.numbers('x'), reader.has('y') ? reader.numbers('y') : null]
}

function changes(reader: CaseReader): Values {
  if (!reader.has('pre')) return reader.numbers('x')
  const post = reader.numbers('post')
  // The reference rounds differences to 10 decimals, so that 0.1 + 0.2 ties with 0.3.
  return reader
    .numbers('pre')
    .map((pre, i) => (pre === null || post[i] === null ? null : Number((post[i]! - pre).toFixed(10))))
}

function meanChange(reader: CaseReader, draws: number): Found {
  const values = changes(reader)
  const mean = (sample: Float64Array) => sample.reduce((a, b) => a + b, 0) / sample.length
  const summary = bootstrapInterval(values, mean, { draws, level: reader.level })
  const known = values.filter((value) => value !== null)
  const centre = known.reduce((a, b) => a + b, 0) / known.length
  const squares = known.reduce((sum, value) => sum + (value - centre) ** 2, 0)
  return { ...summaryOf(summary), exact_bootstrap_se: Math.sqrt(squares) / known.length }
}

function clusterSlope(reader: CaseReader, draws: number): Found {
  const y = reader.numbers('outcome')
  const x = reader.numbers('x')
  const cluster = reader.texts('cluster')
  const rows = Array.from(y.keys()).filter((i) => x[i] !== null && y[i] !== null && cluster[i] !== null)
  const slope = ({ rowCounts }: { readonly rowCounts: Int32Array }) => {
    const sums = [0, 0, 0, 0, 0]
    rows.forEach((row, i) => {
      const weight = rowCounts[i]!
      if (weight === 0) return
      const [a, b] = [x[row]!, y[row]!]
      ;[1, a, b, a * a, a * b].forEach((term, k) => {
        sums[k]! += weight * term
      })
    })
    const [n, sx, sy, sxx, sxy] = sums as [number, number, number, number, number]
    return (n * sxy - sx * sy) / (n * sxx - sx * sx)
  }
  const clusters = rows.map((row) => cluster[row]!)
  return summaryOf(clusterBootstrap(clusters, slope, { draws, level: reader.level }))
}

const summaryOf = (summary: BootstrapSummary): Found => ({
  statistic: summary.estimate,
  bootstrap_mean: summary.mean,
  bootstrap_se: summary.standardError,
  percentile_lower: summary.percentile.lower,
  percentile_upper: summary.percentile.upper,
  acceleration_jackknife: summary.acceleration,
  z0: summary.biasCorrection,
  bca_lower: summary.bca.lower,
  bca_upper: summary.bca.upper,
  resamples: summary.draws,
})
