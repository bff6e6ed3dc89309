import { identity } from '../mixed/dense-matrix.ts'
import type { OrdinalModel } from './marginal-likelihood.ts'

/** A model whose columns have mean 0 and spread 1, and the way between its parameters and the given ones. */
export interface StandardisedModel {
  readonly model: OrdinalModel
  /** Parameters of the given model from those of the standardised one, k x k by rows. */
  readonly back: Float64Array
  /** And the other way round. */
  readonly forth: Float64Array
}

/**
 * The same model with every column less its mean and divided by its standard deviation, so that a search takes the same way
 * whatever unit and zero a column has. A mean that is taken off moves all cut points alike. A constant column becomes 0.
 *
 * @param parameters how many there are: of thresholds, coefficients and, last, where there is one, the random standard deviation
 */
export function standardisedColumns(model: OrdinalModel, parameters: number): StandardisedModel {
  const { rows, thresholds } = model
  const n = rows.category.length
  const p = rows.names.length
  const r = thresholds.names.length
  const design = rows.design.slice()
  const back = identity(parameters)
  const forth = identity(parameters)
  // What a threshold parameter gains where all cut points gain 1.
  const shift = thresholds.from(thresholds.matrix.map(() => 1))
  for (let j = 0; j < p; j++) {
    let mean = 0
    for (let i = 0; i < n; i++) mean += design[i * p + j]! / n
    let square = 0
    for (let i = 0; i < n; i++) square += (design[i * p + j]! - mean) ** 2 / n
    const spread = square > (1e-14 * mean) ** 2 ? Math.sqrt(square) : 0
    const unit = spread || 1
    for (let i = 0; i < n; i++) design[i * p + j] = spread === 0 ? 0 : (design[i * p + j]! - mean) / unit
    back[(r + j) * parameters + r + j] = 1 / unit
    forth[(r + j) * parameters + r + j] = unit
    shift.forEach((gain, k) => {
      back[k * parameters + r + j] = (gain * mean) / unit
      forth[k * parameters + r + j] = -gain * mean
    })
  }
  return { model: { ...model, rows: { ...rows, design } }, back, forth }
}
