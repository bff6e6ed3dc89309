import { CAUTIONS, type Caution } from '../../records/index.ts'
import { plainWord, type Reading, unknownValue, wordReader } from './reading.ts'

const readCaution = wordReader(CAUTIONS)
const NONE: ReadonlySet<string> = new Set(['none', 'none known', 'nil'])

export interface CautionsOptions {
  /** What joins several. Default `;` or `,`. */
  readonly joinedBy?: string
  /** Their words → ours, lower case. */
  readonly words?: ReadonlyMap<string, string>
}

/** Sorted, no repeats. One that is not known spoils the field: a list with a hole would read as safe. */
export function readCautions(text: string, options: CautionsOptions = {}): Reading<readonly Caution[]> {
  if (NONE.has(plainWord(text))) return { value: [] }
  const parts = cautionParts(text, options.joinedBy)
  const found = new Set<Caution>()
  for (const part of parts) {
    if (part.trim() === '') continue
    const word = options.words?.get(plainWord(part))
    if (word === 'none') continue
    const reading = readCaution(word ?? part)
    if (!('value' in reading)) return unknownValue
    found.add(reading.value)
  }
  return { value: [...found].sort() }
}

/** Split where the joint stands as told; a joint that is no word also without the room around it. */
export function cautionParts(text: string, joint: string | undefined): string[] {
  if (joint === undefined) return text.split(/[;,]/)
  const bare = joint.trim()
  return bare === '' || /[\p{L}\p{N}]/u.test(bare) ? text.split(joint) : text.split(bare)
}
