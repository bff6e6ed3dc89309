import type { Unit } from '../guide/guide.ts'
import { type NumberOptions, readCount } from './number.ts'
import { isTooLong, type Reading, read, unreadableNumber } from './reading.ts'

export interface DurationOptions extends NumberOptions {
  /** Unit of a bare number; null where nothing tells it, and then a bare number is not read. Default seconds. */
  readonly unit?: Unit | null
}

type NumberUnit = Exclude<Unit, 'h:mm'>
const SECONDS_IN: Readonly<Record<NumberUnit, number>> = { seconds: 1, minutes: 60, hours: 3600 }
/** Numbers with a unit, in English and in those of our neighbours' words that can mean nothing else. */
const PART =
  /([\d.,½¼¾]+)\s*(hours?|hrs?\.?|h|heures?|stunden?|std\.?|uur|horas?|ore|minutes?|mins?\.?|minuten?|minutos?|minuti|m|′|'|seconds?|secs?\.?|sekunden?|sek\.?|secondes?|seconden?|segundos?|secondi|s|″|")(?![\p{L}'"])/giu
/** ISO 8601: `PT1M30S`. */
const ISO_DURATION = /^PT(?=\d)(?:(\d+(?:[.,]\d+)?)H)?(?:(\d+(?:[.,]\d+)?)M)?(?:(\d+(?:[.,]\d+)?)S)?$/i
const CLOCK = /^(?:(\d{1,2}):)?(\d{1,3}):(\d{2})$/

/** The length of a session in seconds: `90` (in its unit), `90 s`, `1.5 min`, `1 min 30 s`, `1:30` (min:s), `0:01:30`. */
export function readDuration(text: string, options: DurationOptions = {}): Reading<number> {
  if (isTooLong(text)) return unreadableNumber
  const word = text.trim()
  const unit = options.unit === undefined ? 'seconds' : options.unit
  const bare = readCount(word, options)
  if ('value' in bare)
    return unit === null || unit === 'h:mm' ? unreadableNumber : read(inSeconds(bare.value, unit))
  const clock = CLOCK.exec(word)
  if (clock) return clockSeconds(clock, unit)
  const iso = ISO_DURATION.exec(word)
  if (iso) {
    const [h, m, s] = iso.slice(1).map((part) => Number((part ?? '0').replace(',', '.'))) as [
      number,
      number,
      number,
    ]
    return read(rounded(h * 3600 + m * 60 + s))
  }
  let total = 0
  let smallest = Number.POSITIVE_INFINITY
  const rest = word.replace(PART, (_, number: string, name: string) => {
    const value = readCount(number, options)
    const size = unitOf(name)
    if (!('value' in value) || SECONDS_IN[size] >= smallest) smallest = Number.NaN
    else {
      smallest = SECONDS_IN[size]
      total += inSeconds(value.value, size)
    }
    return ''
  })
  const understood =
    rest.replace(/\b(?:and|und|et|en|y|e)\b/i, '').trim() === '' && smallest < Number.POSITIVE_INFINITY
  return understood ? read(rounded(total)) : unreadableNumber
}

/** `1:30` is minutes and seconds, or what `h:mm` says; where hours are the unit it might be either, so it is not read. */
function clockSeconds(clock: RegExpExecArray, unit: Unit | null): Reading<number> {
  const [, hours, minutes, seconds] = clock
  if (Number(seconds) > 59 || (hours !== undefined && Number(minutes) > 59)) return unreadableNumber
  if (hours === undefined && unit === 'hours') return unreadableNumber
  if (hours === undefined && unit === 'h:mm') return read(Number(minutes) * 3600 + Number(seconds) * 60)
  return read(Number(hours ?? 0) * 3600 + Number(minutes) * 60 + Number(seconds))
}

const unitOf = (name: string): NumberUnit =>
  /^(?:h|st|u|ore)/i.test(name) ? 'hours' : /^[m'′]/i.test(name) ? 'minutes' : 'seconds'

/** 0.55 min is 33 s, not 33.00000000000001. */
const rounded = (seconds: number): number => Number(seconds.toFixed(6))
const inSeconds = (value: number, unit: NumberUnit): number => rounded(value * SECONDS_IN[unit])
