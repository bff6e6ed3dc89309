import { DONE_BY } from '../../records/index.ts'
import { wordReader } from './reading.ts'

/** Who did it: clinician, family or self. `mum`, `us` and the like are for the guide. */
export const readDoneBy = wordReader(DONE_BY)
