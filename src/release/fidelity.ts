import { adherence, beforeAndAfter, isComputed, reactions } from '../measures/index.ts'
import { type Day, type Records, type Reflex, targetName } from '../records/index.ts'
import type { Cell, ReleasedTable } from './fields.ts'

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

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length

/** Mean over clients of their own mean dose, with the half width of its normal interval. */
function doseOf(records: Records, asOf: Day): Headline[] {
  const doses = adherence(records, { asOf })
    .clients.map((c) => c.doseFraction.asLogged)
    .filter((x) => x !== null)
  if (doses.length === 0) return []
  const value = mean(doses)
  const variance = doses.reduce((sum, x) => sum + (x - value) ** 2, 0) / Math.max(1, doses.length - 1)
  const halfWidth = doses.length > 1 ? 1.96 * Math.sqrt(variance / doses.length) : null
  return [{ figure: DOSE, value, halfWidth }]
}

function changesOf(records: Records, asOf: Day): Headline[] {
  return beforeAndAfter(records, { asOf, draws: 20 }).horizons.weeks12.byReflex.flatMap(
    ({ label, effect }) => {
      if (!isComputed(effect) || effect.hedgesG === null) return []
      const { lower, upper } = effect.hedgesGInterval
      return [
        {
          figure: change(label),
          value: effect.hedgesG,
          halfWidth: lower === null || upper === null ? null : (upper - lower) / 2,
        },
      ]
    },
  )
}

function reactionsOf(records: Records, asOf: Day): Headline[] {
  const { rate, lower, upper } = reactions(records, { asOf }).all
  if (rate === null) return []
  const halfWidth = lower === null || upper === null ? null : (upper - lower) / 2
  return [{ figure: REACTION_RATE, value: rate, halfWidth }]
}

/** Rows of a released table as objects. */
function rowsOf(tables: readonly ReleasedTable[], name: string): Record<string, Cell>[] {
  const { definition, rows } = tables.find((t) => t.definition.name === name)!
  return rows.map((row) => Object.fromEntries(definition.fields.map((f, c) => [f.name, row[c]!])))
}

function doseOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const sums = new Map<string, { dose: number; lineDays: number }>()
  for (const r of rowsOf(tables, 'adherence')) {
    const own = sums.get(String(r.person)) ?? { dose: 0, lineDays: 0 }
    sums.set(String(r.person), own)
    own.dose += Number(r.dose_fraction) * Number(r.line_days)
    own.lineDays += Number(r.line_days)
  }
  return sums.size === 0 ? [] : [[DOSE, mean([...sums.values()].map((s) => s.dose / s.lineDays))]]
}

/** Over the stimuli that still show how often there was no reaction. */
function reactionsOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const shown = rowsOf(tables, 'reactions').filter((r) => r.reaction === 'none' && r.count !== null)
  const asked = shown.reduce((sum, r) => sum + Number(r.sessions_asked), 0)
  const none = shown.reduce((sum, r) => sum + Number(r.count), 0)
  return asked === 0 ? [] : [[REACTION_RATE, (1000 * (asked - none)) / asked]]
}

const changesOfRelease = (tables: readonly ReleasedTable[]): [string, number][] =>
  rowsOf(tables, 'outcomes').flatMap((r): [string, number][] =>
    r.hedges_g === null ? [] : [[change(String(r.reflex)), Number(r.hedges_g)]],
  )

/**
 * Each headline figure on the clinic's own records beside the same figure as a reader of the released tables works it
 * out: what consent, suppression and coarsening did to the answers.
 */
export function fidelity(all: Records, tables: readonly ReleasedTable[], asOf: Day): FidelityFigure[] {
  const onRelease = new Map([
    ...doseOfRelease(tables),
    ...changesOfRelease(tables),
    ...reactionsOfRelease(tables),
  ])
  return [...doseOf(all, asOf), ...changesOf(all, asOf), ...reactionsOf(all, asOf)].map(
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
