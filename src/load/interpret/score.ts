import { type NumberOptions, readNumber } from './number.ts'
import { isTooLong, type Reading, read, unreadableNumber } from './reading.ts'

/** A score, and the top of its scale where the text itself says it (`2/4`). */
export interface ScoreReading {
  readonly score: number
  readonly scale: number | null
  /** `75%`: of 100, if that is the scale. */
  readonly percent?: true
}

const OF = /^(.+?)\s*(?:\/|\bout of\b|\bof\b)\s*(.+)$/i

/** `2`, `2.5`, `2/4`, `2 of 4`, `75%`. Whether it lies on its scale is judged with the record. */
export function readScore(text: string, options: NumberOptions = {}): Reading<ScoreReading> {
  if (isTooLong(text)) return unreadableNumber
  const word = text.trim()
  if (word.endsWith('%')) {
    const percent = readNumber(word.slice(0, -1), options)
    return 'value' in percent ? read({ score: percent.value, scale: 100, percent: true }) : unreadableNumber
  }
  const of = OF.exec(word)
  const score = readNumber(of ? (of[1] as string) : word, options)
  if (!('value' in score)) return unreadableNumber
  if (!of) return read({ score: score.value, scale: null })
  const scale = readNumber(of[2] as string, options)
  if (!('value' in scale) || scale.value <= 0) return unreadableNumber
  return read({ score: score.value, scale: scale.value })
}
