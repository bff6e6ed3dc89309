import { disclosureRisk } from '../statistics/index.ts'
import type { FidelityFigure } from './fidelity.ts'
import type { Generalisation } from './generalise.ts'
import type { Hierarchy } from './hierarchy.ts'
import type { IntersectionRisk } from './intersection.ts'
import type { Coarsening } from './longitudinal.ts'
import { aloneByRaters } from './rater-risk.ts'
import type { ReleasedRow } from './tables.ts'

/** What a data-protection officer reads. */
export interface RiskReport {
  readonly k: { readonly asked: number; readonly reached: number }
  readonly l: { readonly asked: number; readonly reached: number }
  readonly people: {
    readonly inRecords: number
    readonly consenting: number
    readonly released: number
    readonly suppressed: number
    readonly shareSuppressed: number
  }
  readonly prosecutorRisk: { readonly max: number; readonly mean: number }
  readonly sampleUniques: number
  readonly tCloseness: number
  readonly columns: readonly { readonly column: string; readonly level: string; readonly loss: number }[]
  readonly loss: number
  readonly lattice: { readonly nodes: number; readonly counted: number }
  readonly longitudinal: Omit<Coarsening, 'withheld'> & {
    readonly maxUnique: number
    readonly withheld: number
  }
  /** Whether raters' pseudonyms leave, and the share found for certain by them: see {@link aloneByRaters}. */
  readonly raters: { readonly leave: boolean; readonly alone: number }
  readonly fidelity: readonly FidelityFigure[]
  readonly intersection: IntersectionRisk | null
  readonly statement: string
}

export const STATEMENT =
  'Anonymity is a matter of degree. These tables were coarsened and measured as the risk report says; whether they may leave the clinic is for local data-protection law and ethics approval to decide. No claim of Safe Harbor is made.'

/** The report of a release, from what its making found. */
export function riskReport(made: {
  readonly asked: { readonly k: number; readonly l: number; readonly maxUnique: number }
  readonly inRecords: number
  readonly consenting: number
  readonly hierarchies: readonly Hierarchy[]
  readonly generalisation: Generalisation
  readonly people: readonly ReleasedRow[]
  readonly longitudinal: Coarsening
  readonly raters: boolean
  readonly fidelity: readonly FidelityFigure[]
  readonly intersection: IntersectionRisk | null
}): RiskReport {
  const { asked, consenting, generalisation: found, people, longitudinal } = made
  const measured = disclosureRisk(
    people.map((p) => p.released),
    people.map((p) => p.person.subject.sensitive),
  )
  return {
    k: { asked: asked.k, reached: measured.k },
    l: { asked: asked.l, reached: measured.lDistinct },
    people: {
      inRecords: made.inRecords,
      consenting,
      released: people.length,
      suppressed: found.suppressed,
      shareSuppressed: found.suppressed / consenting,
    },
    prosecutorRisk: { max: measured.prosecutorRiskMax, mean: measured.prosecutorRiskMean },
    sampleUniques: measured.sampleUniques,
    tCloseness: measured.tCloseness,
    columns: made.hierarchies.map((h, c) => ({
      column: h.column,
      level: h.levels[found.levels[c]!]!.name,
      loss: found.lossByColumn[c]!,
    })),
    loss: found.loss,
    lattice: { nodes: found.nodes, counted: found.counted },
    longitudinal: {
      ...longitudinal,
      withheld: longitudinal.withheld.length,
      maxUnique: asked.maxUnique,
    },
    raters: {
      leave: made.raters,
      alone: made.raters ? aloneByRaters(people, new Set(longitudinal.withheld)) : 0,
    },
    fidelity: made.fidelity,
    intersection: made.intersection,
    statement: STATEMENT,
  }
}
