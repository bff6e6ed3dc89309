import { reactions } from '../measures/index.ts'
import { type Reflex, targetName } from '../records/index.ts'
import { type ClinicView, mean, meanDoses, outcomesOf } from './clinic-view.ts'
import type { ReleasedTable } from './fields.ts'
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

/** Mean over clients of their own mean dose, with the half width of its normal interval. */
function doseOf({ days }: ClinicView): Headline[] {
  const doses = meanDoses(days)
  if (doses.length === 0) return []
  const value = mean(doses)
  const variance = doses.reduce((sum, x) => sum + (x - value) ** 2, 0) / Math.max(1, doses.length - 1)
  const halfWidth = doses.length > 1 ? 1.96 * Math.sqrt(variance / doses.length) : null
  return [{ figure: DOSE, value, halfWidth }]
}

const halfOf = (lower: number | null, upper: number | null): number | null =>
  lower === null || upper === null ? null : (upper - lower) / 2

const changesOf = ({ pairs }: ClinicView): Headline[] =>
  outcomesOf(pairs).flatMap(({ reflex, hedgesG, lower, upper }) =>
    hedgesG === null ? [] : [{ figure: change(reflex), value: hedgesG, halfWidth: halfOf(lower, upper) }],
  )

function reactionsOf({ records, asOf }: ClinicView): Headline[] {
  const { rate, lower, upper } = reactions(records, { asOf }).all
  return rate === null ? [] : [{ figure: REACTION_RATE, value: rate, halfWidth: halfOf(lower, upper) }]
}

/** Rows of a released table as objects. */
function rowsOf(tables: readonly ReleasedTable[], name: string): Record<string, Cell>[] {
  const { definition, rows } = tables.find((t) => t.definition.name === name)!
  return rows.map((row) => Object.fromEntries(definition.fields.map((f, c) => [f.name, row[c]!])))
}

/** A long table: its cells are read where they stand. */
function doseOfRelease(tables: readonly ReleasedTable[]): [string, number][] {
  const { definition, rows } = tables.find((t) => t.definition.name === 'adherence')!
  const [person, dose, lineDays] = ['person', 'dose_fraction', 'line_days'].map((name) =>
    definition.fields.findIndex((f) => f.name === name),
  ) as [number, number, number]
  const sums = new Map<Cell, { dose: number; lineDays: number }>()
  for (const row of rows) {
    const own = sums.get(row[person]!) ?? { dose: 0, lineDays: 0 }
    sums.set(row[person]!, own)
    own.dose += Number(row[dose]) * Number(row[lineDays])
    own.lineDays += Number(row[lineDays])
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
export function fidelity(all: ClinicView, tables: readonly ReleasedTable[]): FidelityFigure[] {
  const onRelease = new Map([
    ...doseOfRelease(tables),
    ...changesOfRelease(tables),
    ...reactionsOfRelease(tables),
  ])
  return [...doseOf(all), ...changesOf(all), ...reactionsOf(all)].map(({ figure, value, halfWidth }) => {
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
