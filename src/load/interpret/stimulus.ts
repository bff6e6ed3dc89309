import { STIMULI } from '../../records/index.ts'
import { wordReader } from './reading.ts'

/** What was used, by its code in words. Names of tools (soft brush, buzzer) are for the guide. */
export const readStimulus = wordReader(STIMULI, {
  brushing: 'brush',
  'electrical stimulation': 'electrical',
})
