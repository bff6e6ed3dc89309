import { adherence, beforeAndAfter, isComputed, reactions } from '../measures/index.ts'
import { type Day, type Records, type Reflex, targetName } from '../records/index.ts'

/** One headline figure on the clinic's own records and on the release. */
export interface FidelityFigure {
  readonly figure: string
  readonly onRecords: number
  readonly onRelease: number | null
  /** Half the width of the 95 % interval on the clinic's own records, where there is one. */
  readonly halfWidth: number | null
  /** True where the two part by more than that, or the release has none. */
  readonly parts: boolean
}

interface Headline {
  readonly figure: string
  readonly value: number
  readonly halfWidth: number | null
}

/** Mean over clients of their own mean dose, with the half width of its normal interval. */
function doseOf(records: Records, asOf: Day): Headline[] {
  const doses = adherence(records, { asOf })
    .clients.map((c) => c.doseFraction.asLogged)
    .filter((x) => x !== null)
  if (doses.length === 0) return []
  const mean = doses.reduce((a, b) => a + b, 0) / doses.length
  const variance = doses.reduce((sum, x) => sum + (x - mean) ** 2, 0) / Math.max(1, doses.length - 1)
  return [
    {
      figure: 'Mean dose fraction of a client, as logged',
      value: mean,
      halfWidth: doses.length > 1 ? 1.96 * Math.sqrt(variance / doses.length) : null,
    },
  ]
}

function changesOf(records: Records, asOf: Day): Headline[] {
  return beforeAndAfter(records, { asOf }).horizons.weeks12.byReflex.flatMap(({ label, effect }) => {
    if (!isComputed(effect) || effect.hedgesG === null) return []
    const { lower, upper } = effect.hedgesGInterval
    return [
      {
        figure: `Change at 12 weeks, g: ${targetName(label as Reflex)}`,
        value: effect.hedgesG,
        halfWidth: lower === null || upper === null ? null : (upper - lower) / 2,
      },
    ]
  })
}

function reactionsOf(records: Records, asOf: Day): Headline[] {
  const { all } = reactions(records, { asOf })
  return all.rate === null
    ? []
    : [
        {
          figure: 'Reactions per 1,000 sessions asked',
          value: all.rate,
          halfWidth: all.lower === null || all.upper === null ? null : (all.upper - all.lower) / 2,
        },
      ]
}

const headlines = (records: Records, asOf: Day): Headline[] => [
  ...doseOf(records, asOf),
  ...changesOf(records, asOf),
  ...reactionsOf(records, asOf),
]

/**
 * Each headline figure on the clinic's own records beside the same figure on the records of the released people: what
 * consent and suppression did to the answers.
 */
export function fidelity(all: Records, released: Records, asOf: Day): FidelityFigure[] {
  const onRelease = new Map(headlines(released, asOf).map((h) => [h.figure, h.value]))
  return headlines(all, asOf).map(({ figure, value, halfWidth }) => {
    const other = onRelease.get(figure) ?? null
    return {
      figure,
      onRecords: value,
      onRelease: other,
      halfWidth,
      parts: other === null || (halfWidth !== null && Math.abs(other - value) > halfWidth),
    }
  })
}
