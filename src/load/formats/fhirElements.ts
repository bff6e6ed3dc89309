import { isReflex } from '../../records/index.ts'
import { readReflex, readSide } from '../interpret/index.ts'
import type { JsonObject, JsonValue } from './jsonRecord.ts'

/** SNOMED CT codes of a side, for an Observation that gives no words (International Edition). */
const SNOMED_SIDES: Readonly<Record<string, string>> = {
  '7771000': 'left',
  '24028007': 'right',
  '51440002': 'both',
}

export const isObject = (value: JsonValue | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

export const listOf = (value: JsonValue | undefined): readonly JsonValue[] =>
  Array.isArray(value) ? value : value === undefined || value === null ? [] : [value]

export const textOf = (value: JsonValue | undefined): string =>
  typeof value === 'string'
    ? value
    : typeof value === 'number' || typeof value === 'boolean'
      ? String(value)
      : ''

/** The words of a CodeableConcept, or, where it has none, its first display or code. */
function wordsOf(concept: JsonValue | undefined): string {
  if (!isObject(concept)) return textOf(concept)
  const codings = listOf(concept.coding).filter(isObject)
  const display = codings.map((coding) => textOf(coding.display)).find((text) => text !== '')
  const code = codings.map((coding) => textOf(coding.code)).find((text) => text !== '')
  return textOf(concept.text) || display || code || ''
}

export function reflexOf(concept: JsonValue | undefined): string {
  const codings = isObject(concept) ? listOf(concept.coding).filter(isObject) : []
  const known = codings.map((coding) => textOf(coding.code)).find(isReflex)
  return known ?? wordsOf(concept)
}

export function sideOf(concept: JsonValue | undefined): string {
  if (!isObject(concept)) return textOf(concept)
  const words = textOf(concept.text) || codedSide(concept) || wordsOf(concept)
  if ('value' in readSide(words)) return words
  return lateralityOf(concept) ?? bodyPartSide(words) ?? words
}

const codedSide = (concept: JsonObject): string | undefined =>
  listOf(concept.coding)
    .filter(isObject)
    .map((coding) => SNOMED_SIDES[textOf(coding.code)])
    .find((side) => side !== undefined)

/** The side that an extension gives beside the part of the body. */
const lateralityOf = (concept: JsonObject): string | undefined =>
  listOf(concept.extension)
    .filter(isObject)
    .map(({ valueCodeableConcept: found }) => (isObject(found) ? codedSide(found) : undefined))
    .find((side) => side !== undefined)

/** `Left hand`, `Structure of right half of body`: a part of the body that names one side. */
function bodyPartSide(words: string): string | undefined {
  if (!/^[\p{L}\s(),-]+$/u.test(words)) return undefined
  const sides = new Set(words.toLowerCase().match(/\b(?:left|right)\b/g))
  return sides.size === 1 && !/\b(?:or|not|other)\b/i.test(words) ? [...sides][0] : undefined
}

/** What a component of an Observation scores: side, and the reflex where it is another than the Observation's. */
export interface ComponentSubject {
  readonly side: string
  readonly reflex: string | null
}

/**
 * A component is one side (`Left`), one side of a named reflex (`Rooting, left`; `Left score`), a reflex of a panel
 * (`Moro`), or the score itself, on the side that the Observation gives.
 */
export function componentSubject(
  code: JsonValue | undefined,
  bodySite: JsonValue | undefined,
): ComponentSubject {
  const words = sideOf(code)
  const own = bodySite === undefined ? '' : sideOf(bodySite)
  if ('value' in readSide(words)) return { side: words, reflex: null }
  const named = reflexOf(code)
  if ('value' in readReflex(named)) return { side: own, reflex: named }
  if (SCORE_WORDS.test(words)) return { side: own, reflex: null }
  if (words.length > LONGEST_NAME) return { side: words, reflex: null }
  const match = /^(.+?)[\s,:;()–-]+(left|right|midline)\W*$|^(left|right|midline)[\s,:;–-]+(.+)$/iu.exec(
    wordsOf(code),
  )
  const [side, rest] = [match?.[2] ?? match?.[3], match?.[1] ?? match?.[4]]
  if (side === undefined || rest === undefined) return { side: words, reflex: null }
  if (SCORE_WORDS.test(rest)) return { side, reflex: null }
  return 'value' in readReflex(rest) ? { side, reflex: rest } : { side: words, reflex: null }
}

/** A longer text is no name of a score, and might be made to be slow to look through. */
const LONGEST_NAME = 200
const SCORE_WORDS = /^(?:score|grade|rating|value|result)$/i

/** The value of an Observation or component as text; empty where it has none or says why it is absent. */
export function scoreText(element: JsonObject): string {
  if (isObject(element.valueQuantity))
    return `${textOf(element.valueQuantity.comparator)}${textOf(element.valueQuantity.value)}`
  if (isObject(element.valueCodeableConcept)) return gradeOf(element.valueCodeableConcept)
  const { numerator, denominator } = isObject(element.valueRatio) ? element.valueRatio : {}
  if (isObject(numerator) && isObject(denominator))
    return `${textOf(numerator.value)}/${textOf(denominator.value)}`
  return textOf(element.valueInteger ?? element.valueDecimal ?? element.valueString)
}

/** A grade in words with its number: the code, where that is a short number, or the standard extension for it. */
function gradeOf(concept: JsonObject): string {
  const words = wordsOf(concept)
  if (/\d/.test(words)) return words
  const codings = listOf(concept.coding).filter(isObject)
  const ordinals = codings.flatMap((coding) => listOf(coding.extension).filter(isObject))
  const ordinal = ordinals.find(({ url }) => /\/(?:ordinalValue|itemWeight)$/.test(textOf(url)))
  if (ordinal !== undefined) return textOf(ordinal.valueDecimal)
  return codings.map((coding) => textOf(coding.code)).find((code) => /^\d{1,2}$/.test(code)) ?? words
}

export function dateOf(observation: JsonObject): string {
  const at = textOf(observation.effectiveDateTime) || textOf(observation.effectiveInstant)
  const period = observation.effectivePeriod
  if (at !== '' || !isObject(period)) return at
  const [start, end] = [textOf(period.start), textOf(period.end)]
  // A period within one day is that day; a longer one is no date of an assessment, and says so as text.
  return end === '' || start.slice(0, 10) === end.slice(0, 10) ? start : `${start}/${end}`
}

export function subjectOf(subject: JsonValue | undefined, contained?: JsonValue): string {
  if (!isObject(subject)) return ''
  const inside = containedIn(contained, subject.reference)
  if (inside !== null) {
    const codes = new Set(
      listOf(inside.identifier).map((entry) => (isObject(entry) ? textOf(entry.value) : '')),
    )
    if (codes.size === 1) return [...codes][0] as string
  }
  const identifier = isObject(subject.identifier) ? textOf(subject.identifier.value) : ''
  return textOf(subject.reference) || identifier || textOf(subject.display)
}

/** The resource that lies within another, by the reference `#id` to it. */
function containedIn(contained: JsonValue | undefined, reference: JsonValue | undefined): JsonObject | null {
  const name = textOf(reference)
  if (!name.startsWith('#')) return null
  return (
    listOf(contained)
      .filter(isObject)
      .find(({ id }) => textOf(id) === name.slice(1)) ?? null
  )
}

/** The name of a person within the resource, as one text. */
function nameWithin(contained: JsonValue | undefined, reference: JsonValue | undefined): string {
  const name = listOf(containedIn(contained, reference)?.name).find(isObject)
  if (name === undefined) return ''
  return textOf(name.text) || [...listOf(name.given), name.family].map(textOf).join(' ').trim()
}

export const performersOf = (performers: JsonValue | undefined, contained?: JsonValue): string =>
  listOf(performers)
    .filter(isObject)
    .map(({ display, reference }) => textOf(display) || nameWithin(contained, reference) || textOf(reference))
    .filter((text) => text !== '')
    .join('; ')
