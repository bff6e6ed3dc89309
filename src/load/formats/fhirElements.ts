import { isReflex } from '../../records/index.ts'
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
  if (textOf(concept.text) !== '') return textOf(concept.text)
  const codings = listOf(concept.coding).filter(isObject)
  const known = codings.map((coding) => SNOMED_SIDES[textOf(coding.code)]).find((side) => side !== undefined)
  return known ?? wordsOf(concept)
}

/** The value of an Observation or component as text; empty where it has none or says why it is absent. */
export function scoreText(element: JsonObject): string {
  if (isObject(element.valueQuantity))
    return `${textOf(element.valueQuantity.comparator)}${textOf(element.valueQuantity.value)}`
  if (isObject(element.valueCodeableConcept)) return wordsOf(element.valueCodeableConcept)
  return textOf(element.valueInteger ?? element.valueDecimal ?? element.valueString)
}

export function dateOf(observation: JsonObject): string {
  const at = textOf(observation.effectiveDateTime) || textOf(observation.effectiveInstant)
  const period = observation.effectivePeriod
  if (at !== '' || !isObject(period)) return at
  const [start, end] = [textOf(period.start), textOf(period.end)]
  // A period within one day is that day; a longer one is no date of an assessment, and says so as text.
  return end === '' || start.slice(0, 10) === end.slice(0, 10) ? start : `${start}/${end}`
}

export function subjectOf(subject: JsonValue | undefined): string {
  if (!isObject(subject)) return ''
  const identifier = isObject(subject.identifier) ? textOf(subject.identifier.value) : ''
  return textOf(subject.reference) || identifier || textOf(subject.display)
}

export const performersOf = (performers: JsonValue | undefined): string =>
  listOf(performers)
    .filter(isObject)
    .map((performer) => textOf(performer.display) || textOf(performer.reference))
    .filter((text) => text !== '')
    .join('; ')
