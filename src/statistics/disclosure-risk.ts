import { CannotEstimate } from './shared.ts'

export interface DisclosureRisk {
  readonly method: 'disclosure risk'
  readonly rows: number
  readonly classes: number
  /** Smallest and largest class of rows with the same quasi-identifiers. */
  readonly k: number
  readonly largestClass: number
  readonly sampleUniques: number
  readonly classSizes: readonly number[]
  /** 1 ÷ class size: the chance to pick the right row knowing that the person is in the table. */
  readonly prosecutorRiskMax: number
  readonly prosecutorRiskMean: number
  readonly expectedReidentifications: number
  /** Share of rows whose risk is above 0.2. */
  readonly shareAboveOneFifth: number
  /** Fewest distinct sensitive values in a class. */
  readonly lDistinct: number
  /** Smallest entropy of the sensitive value in a class (natural logarithm), and exp of it. */
  readonly entropyMin: number
  readonly lEntropy: number
  /** Largest total variation distance between a class and the whole table, all values equally far apart. */
  readonly tCloseness: number
  /** Rows in classes smaller than a size. */
  rowsBelow(size: number): number
}

/**
 * k-anonymity (Samarati and Sweeney 1998; Sweeney 2002, Int J Uncertain Fuzz 10:557–570), distinct and entropy l-diversity
 * (Machanavajjhala et al. 2007, ACM TKDD 1(1):3), t-closeness with equal distances (Li, Li and Venkatasubramanian 2007, ICDE, section 4)
 * and prosecutor risk (El Emam and Dankar 2008, JAMIA 15:627–637). A missing value is a value of its own.
 *
 * @param quasiIdentifiers one row a person, one value a column
 * @param sensitive one value a person
 * @throws CannotEstimate where there is no row
 */
export function disclosureRisk(
  quasiIdentifiers: readonly (readonly (string | null)[])[],
  sensitive: readonly (string | null)[],
): DisclosureRisk {
  const rows = quasiIdentifiers.length
  if (rows === 0) throw new CannotEstimate('disclosureRisk', 'a row', '0')
  if (sensitive.length !== rows)
    throw new CannotEstimate('disclosureRisk', 'a sensitive value a row', `${sensitive.length} for ${rows}`)
  // JSON keeps columns apart whatever they hold, and null apart from the text "null".
  const classes = new Map<string, Map<string | null, number>>()
  const overall = new Map<string | null, number>()
  quasiIdentifiers.forEach((row, i) => {
    const key = JSON.stringify(row)
    const counts = classes.get(key) ?? new Map<string | null, number>()
    classes.set(key, counts)
    const value = sensitive[i] ?? null
    counts.set(value, (counts.get(value) ?? 0) + 1)
    overall.set(value, (overall.get(value) ?? 0) + 1)
  })
  const measured = [...classes.values()].map((counts) => classRisk(counts, overall, rows))
  const sizes = measured.map((c) => c.size).sort((a, b) => a - b)
  const entropyMin = Math.min(...measured.map((c) => c.entropy))
  const rowsWhere = (holds: (size: number) => boolean): number =>
    sizes.reduce((sum, size) => (holds(size) ? sum + size : sum), 0)
  return {
    method: 'disclosure risk',
    rows,
    classes: sizes.length,
    k: sizes[0]!,
    largestClass: sizes.at(-1)!,
    sampleUniques: sizes.filter((s) => s === 1).length,
    classSizes: sizes,
    prosecutorRiskMax: 1 / sizes[0]!,
    prosecutorRiskMean: sizes.length / rows,
    expectedReidentifications: sizes.length,
    shareAboveOneFifth: rowsWhere((size) => 1 / size > 0.2) / rows,
    lDistinct: Math.min(...measured.map((c) => c.distinct)),
    entropyMin,
    lEntropy: Math.exp(entropyMin),
    tCloseness: Math.max(...measured.map((c) => c.distance)),
    rowsBelow: (size) => rowsWhere((s) => s < size),
  }
}

function classRisk(
  counts: ReadonlyMap<string | null, number>,
  overall: ReadonlyMap<string | null, number>,
  rows: number,
) {
  const size = [...counts.values()].reduce((a, b) => a + b, 0)
  let entropy = 0
  let distance = 0
  for (const [value, count] of overall) {
    const here = (counts.get(value) ?? 0) / size
    distance += Math.abs(here - count / rows) / 2
    if (here > 0) entropy -= here * Math.log(here)
  }
  return { size, distinct: counts.size, entropy, distance }
}
