import { REACTIONS } from '../../records/index.ts'
import { wordReader } from './reading.ts'

/** What was seen afterwards. `none` is "asked, nothing seen"; blank is "not asked". */
export const readReaction = wordReader(REACTIONS, { color: 'colour' })
