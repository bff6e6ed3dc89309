import students from '@stdlib/stats-base-dists-t'
import type { Interval } from '../statistics/index.ts'

/** One month of the mean course. Points of the common scale. */
export interface CoursePoint {
  /** Months from the start: the middle of the month observed, from month − 0.5 to month + 0.5. */
  readonly month: number
  /** The model's mean line and its pointwise band. */
  readonly fitted: number
  readonly band: Interval
  /** Mean over clients of what was scored in the month; null where fewer than `fewest` clients were. */
  readonly observed: number | null
  readonly clients: number
}

interface CourseRows {
  readonly y: readonly number[]
  readonly time: readonly number[]
  readonly cluster: readonly string[]
}

/** Fewest clients for an observed mean: fewer would show single children. */
const FEWEST = 5

/** The mean line month by month over the months that at least five clients have scores in, with the observed means beside it. */
export function meanCourse(
  rows: CourseRows,
  line: { readonly coefficients: readonly number[]; readonly covariance: Float64Array; readonly df: number },
  level: number,
): CoursePoint[] {
  const months = new Map<number, Map<string, { sum: number; n: number }>>()
  rows.y.forEach((score, i) => {
    const month = Math.round(rows.time[i]!)
    const clients = months.get(month) ?? new Map<string, { sum: number; n: number }>()
    months.set(month, clients)
    const own = clients.get(rows.cluster[i]!) ?? { sum: 0, n: 0 }
    own.sum += score
    own.n++
    clients.set(rows.cluster[i]!, own)
  })
  const covered = [...months].filter(([, clients]) => clients.size >= FEWEST).map(([month]) => month)
  if (covered.length === 0) return []
  const t = students.quantile((1 + level) / 2, Math.max(1, line.df))
  const [v00, v01, , v11] = line.covariance
  const points: CoursePoint[] = []
  for (let month = Math.min(...covered); month <= Math.max(...covered); month++) {
    const clients = [...(months.get(month)?.values() ?? [])]
    const fitted = line.coefficients[0]! + line.coefficients[1]! * month
    const margin = t * Math.sqrt(Math.max(0, v00! + 2 * month * v01! + month * month * v11!))
    points.push({
      month,
      fitted,
      band: { lower: fitted - margin, upper: fitted + margin, level },
      observed:
        clients.length < FEWEST ? null : clients.reduce((sum, c) => sum + c.sum / c.n, 0) / clients.length,
      clients: clients.length,
    })
  }
  return points
}
