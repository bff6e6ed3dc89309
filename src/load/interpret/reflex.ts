import { REFLEXES, type Reflex, type Target } from '../../records/index.ts'
import { codeWord, type Reading, unknownValue } from './reading.ts'

/** Everyday names with one reading each. Misspellings are for the guide: nobody here guesses what was meant. */
const ALSO_SAID: Readonly<Record<string, Reflex>> = {
  atnr: 'asymmetric_tonic_neck',
  'asymmetrical tonic neck': 'asymmetric_tonic_neck',
  stnr: 'symmetric_tonic_neck',
  'symmetrical tonic neck': 'symmetric_tonic_neck',
  tlr: 'tonic_labyrinthine',
  galant: 'spinal_galant',
  babinski: 'extensor_plantar',
  'plantar extensor': 'extensor_plantar',
  'grasp palmar': 'palmar_grasp',
  'grasp (palmar)': 'palmar_grasp',
  'grasp, palmar': 'palmar_grasp',
  'grasp plantar': 'plantar_grasp',
  'grasp (plantar)': 'plantar_grasp',
  'grasp, plantar': 'plantar_grasp',
}

const KNOWN = new Map<string, Reflex>(Object.entries(ALSO_SAID))
for (const reflex of REFLEXES) KNOWN.set(codeWord(reflex), reflex)

const reflexOf = (text: string): Reflex | undefined => {
  const word = codeWord(text)
  return named(word) ?? saidTwice(word)
}

/** `grasp reflex (palmar)` is `grasp (palmar)` with a word that says nothing. */
const named = (word: string): Reflex | undefined =>
  KNOWN.get(word) ??
  KNOWN.get(word.replace(/ (?:reflex|response|sign)$/, '')) ??
  KNOWN.get(word.replace(/^grasp (?:reflex|response)/, 'grasp'))

/** A longer text is no name, and might be made to be slow to look through. */
const LONGEST_NAME = 100

/** `Asymmetric tonic neck reflex (ATNR)`: both say the same. */
function saidTwice(word: string): Reflex | undefined {
  if (word.length > LONGEST_NAME) return undefined
  const [, first, second] = /^(.+?) \((.+)\)$/.exec(word) ?? []
  if (first === undefined || second === undefined) return undefined
  const found = named(first)
  return found === named(second) ? found : undefined
}

/** A reflex of the catalogue by its code or everyday name, with or without "reflex", "response" or "sign". */
export function readReflex(text: string): Reading<Reflex> {
  const value = reflexOf(text)
  return value === undefined ? unknownValue : { value }
}

/** A reflex, or ear stimulation. */
export function readTarget(text: string): Reading<Target> {
  const value = reflexOf(text) ?? (codeWord(text) === 'ear stimulation' ? 'ear_stimulation' : undefined)
  return value === undefined ? unknownValue : { value }
}
