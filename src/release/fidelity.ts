import type { Reactions } from '../measures/index.ts'
import { type Reflex, targetName } from '../records/index.ts'
import type { ReleasedTable } from './fields.ts'
import { mean, type Outcome } from './outcomes.ts'
import type { Cell } from './rows.ts'

/** One headline figure on the clinic's own records and on the release. */
export interface FidelityFigure {
  readonly figure: string
  readonly onRecords: number
  /** Worked out from the cells of the released tables alone; null where they no longer hold it. */
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

const DOSE = 'Mean dose fraction of a client, as logged'
const REACTION_RATE = 'Reactions per 1,000 sessions asked'
const change = (reflex: string): string => `Change at 12 weeks, g: ${targetName(reflex as Reflex)}`

/** What the headline figures are worked out from. */
export interface Headlines {
  /** Mean dose fraction of each client. */
  readonly doses: readonly number[]
  readonly outcomes: readonly Outcome[]
  readonly reactions: Reactions
}

/** Mean over clients of their own mean dose, with the half width of its normal interval. */
function doseOf(doses: readonly number[]): Headline[] {
  if (doses.length === 0) return []
  const value = mean(doses)
  const variance = doses.reduce((sum, x) => sum + (x - value) ** 2, 0) / Math.max(1, doses.length - 1)
  const halfWidth = doses.length > 1 ? 1.96 * Math.sqrt(variance / doses.length) : null
  return [{ figure: DOSE, value, halfWidth }]
}

const halfOf = (lower: number | null, upper: number | null): number | null =>
  lower === null || upper === null ? null : (upper - lower) / 2

const changesOf = (outcomes: readonly Outcome[]): Headline[] =>
  outcomes.flatMap(({ reflex, hedgesG, lower, upper }) =>
    hedgesG === null ? [] : [{ figure: change(reflex), value: hedgesG, halfWidth: halfOf(lower, upper) }],
  )

function reactionsOf({ all: { rate, lower, upper } }: Reactions): Headline[] {
  return rate === null ? [] : [{ figure: REACTION_RATE, value: rate, halfWidth: halfOf(lower, upper) }]
}

/** A column of a released table. */
function columnOf(tables: readonly ReleasedTable[], name: string, field: string): readonly Cell[] {
  const { definition, columns } = tables.find((t) => t.definition.name === name)!
  return columns.column(definition.fields.findIndex((f) => f.name === field))
}

function doseOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const of = (field: string) => columnOf(tables, 'adherence', field)
  const [people, doses, days] = [of('person'), of('dose_fraction'), of('line_days')]
  const sums = new Map<Cell, { dose: number; lineDays: number }>()
  people.forEach((person, i) => {
    const own = sums.get(person) ?? { dose: 0, lineDays: 0 }
    sums.set(person, own)
    own.dose += Number(doses[i]) * Number(days[i])
    own.lineDays += Number(days[i])
  })
  return sums.size === 0 ? [] : [[DOSE, mean([...sums.values()].map((s) => s.dose / s.lineDays))]]
}

/** Over the stimuli that still show how often there was no reaction. */
function reactionsOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const of = (field: string) => columnOf(tables, 'reactions', field)
  const [kinds, counts, sessions] = [of('reaction'), of('count'), of('sessions_asked')]
  let asked = 0
  let none = 0
  kinds.forEach((kind, i) => {
    if (kind !== 'none' || counts[i] === null) return
    asked += Number(sessions[i])
    none += Number(counts[i])
  })
  return asked === 0 ? [] : [[REACTION_RATE, (1000 * (asked - none)) / asked]]
}

function changesOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const of = (field: string) => columnOf(tables, 'outcomes', field)
  const effects = of('hedges_g')
  return of('reflex').flatMap((reflex, i): [string, number][] =>
    effects[i] === null ? [] : [[change(String(reflex)), Number(effects[i])]],
  )
}

/**
 * Each headline figure on the clinic's own records beside the same figure as a reader of the released tables works it
 * out: what consent, suppression and coarsening did to the answers.
 */
export function fidelity(all: Headlines, tables: readonly ReleasedTable[]): FidelityFigure[] {
  const onRelease = new Map([
    ...doseOfRelease(tables),
    ...changesOfRelease(tables),
    ...reactionsOfRelease(tables),
  ])
  return [...doseOf(all.doses), ...changesOf(all.outcomes), ...reactionsOf(all.reactions)].map(
    ({ figure, value, halfWidth }) => {
      const other = onRelease.get(figure) ?? null
      return {
        figure,
        onRecords: value,
        onRelease: other,
        halfWidth,
        parts: other === null || (halfWidth !== null && Math.abs(other - value) > halfWidth),
      }
    },
  )
}
