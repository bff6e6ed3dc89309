import { SEXES } from '../../records/index.ts'
import { wordReader } from './reading.ts'

export const readSex = wordReader(SEXES, { f: 'female', m: 'male' })
