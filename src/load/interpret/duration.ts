import type { Unit } from '../guide/guide.ts'
import { type NumberOptions, readCount } from './number.ts'
import { type Reading, read, unreadableNumber } from './reading.ts'

export interface DurationOptions extends NumberOptions {
  /** Unit of a bare number; null where nothing tells it, and then a bare number is not read. Default seconds. */
  readonly unit?: Unit | null
}

const SECONDS_IN: Readonly<Record<Unit, number>> = { seconds: 1, minutes: 60, hours: 3600 }
const PART = /([\d.,½¼¾]+)\s*(hours?|hrs?|h|minutes?|mins?|min\.|m|seconds?|secs?|sec\.|s)(?![\p{L}])/giu
const CLOCK = /^(?:(\d{1,2}):)?(\d{1,3}):(\d{2})$/

/** The length of a session in seconds: `90` (in its unit), `90 s`, `1.5 min`, `1 min 30 s`, `1:30` (min:s), `0:01:30`. */
export function readDuration(text: string, options: DurationOptions = {}): Reading<number> {
  const word = text.trim()
  const unit = options.unit === undefined ? 'seconds' : options.unit
  const bare = readCount(word, options)
  if ('value' in bare) return unit === null ? unreadableNumber : read(inSeconds(bare.value, unit))
  const clock = CLOCK.exec(word)
  if (clock) return clockSeconds(clock, unit)
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
  const understood = rest.replace(/\band\b/i, '').trim() === '' && smallest < Number.POSITIVE_INFINITY
  return understood ? read(rounded(total)) : unreadableNumber
}

/** `1:30` is minutes and seconds; where hours are the unit it might be hours and minutes, so it is not read. */
function clockSeconds(clock: RegExpExecArray, unit: Unit | null): Reading<number> {
  const [, hours, minutes, seconds] = clock
  if (Number(seconds) > 59 || (hours !== undefined && Number(minutes) > 59)) return unreadableNumber
  if (hours === undefined && unit === 'hours') return unreadableNumber
  return read(Number(hours ?? 0) * 3600 + Number(minutes) * 60 + Number(seconds))
}

const unitOf = (name: string): Unit => (/^h/i.test(name) ? 'hours' : /^m/i.test(name) ? 'minutes' : 'seconds')

/** 0.55 min is 33 s, not 33.00000000000001. */
const rounded = (seconds: number): number => Number(seconds.toFixed(6))
const inSeconds = (value: number, unit: Unit): number => rounded(value * SECONDS_IN[unit])
