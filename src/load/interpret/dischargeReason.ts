import { DISCHARGE_REASONS } from '../../records/index.ts'
import { wordReader } from './reading.ts'

export const readDischargeReason = wordReader(DISCHARGE_REASONS)
