import { UserError } from '../errors.ts'
import type { Records } from '../records/index.ts'
import { type Generalisation, generalise } from './generalise.ts'
import { checkHierarchy, type Hierarchy } from './hierarchy.ts'
import type { Unreachable } from './nearest.ts'
import type { Person } from './people.ts'
import { pseudonyms } from './pseudonyms.ts'
import type { Sequence } from './sequence.ts'
import type { ReleasedRow } from './tables.ts'

function unreachable(
  { bestK, bestL, suppressedNeeded }: Unreachable,
  k: number,
  l: number,
  people: number,
): UserError {
  const reachable = [
    bestK > 0 ? `k = ${bestK} with l = ${l}` : `no k with l = ${l}`,
    bestL > 0 ? `l = ${bestL} with k = ${k}` : `no l with k = ${k}`,
  ]
  return new UserError(
    `These tables cannot be released with k = ${k} and l = ${l}: ${people} consenting people are too few or too alike. ` +
      `The nearest that can be reached: ${reachable.join(', or ')}; ` +
      `as asked, at least ${Math.ceil(suppressedNeeded * 100)} % would have to be left out. Lower --k or --l, or ask more people for consent.`,
  )
}

/**
 * The values that leave of each person.
 * @throws UserError where k and l cannot be reached, or a hierarchy is wrong
 */
export function generalised(
  people: readonly Person[],
  used: readonly Hierarchy[],
  k: number,
  l: number,
  maxSuppressed: number,
): Generalisation {
  used.forEach((h, c) => {
    const fault = checkHierarchy(h, [...new Set(people.map((p) => p.subject.finest[c]!))])
    if (fault) throw new UserError(fault)
  })
  const found = generalise(
    people.map((p) => p.subject),
    used,
    { k, l, maxSuppressed },
  )
  if ('reachable' in found) throw unreachable(found, k, l, people.length)
  return found
}

/** What the visits of each person give away. */
export function sequencesOf(people: readonly ReleasedRow[]): Sequence[] {
  return people.map(({ person, pseudonym, released }) => ({
    person: pseudonym,
    personClass: JSON.stringify(released),
    days: person.days,
    reflexes: person.reflexes,
    monthsFollowed: person.monthsFollowed,
  }))
}

/** The people who leave, sorted by pseudonym: the order says nothing of the clinic's own. */
export function releasedRows(
  consenting: readonly Person[],
  values: Generalisation['values'],
  secret: Uint8Array,
): ReleasedRow[] {
  const ids = consenting.map((p) => p.client.client_id)
  const names = pseudonyms(secret, 'person', ids)
  return consenting
    .flatMap((person, i) => {
      const released = values[i]
      return released ? [{ person, pseudonym: names.get(person.client.client_id)!, released }] : []
    })
    .sort((a, b) => (a.pseudonym < b.pseudonym ? -1 : 1))
}

/** Pseudonyms of whoever scored the people who leave. */
export function ratersOf(
  records: Records,
  people: readonly ReleasedRow[],
  secret: Uint8Array,
): ReadonlyMap<string, string> {
  const ids = new Set(people.map((p) => p.person.client.client_id))
  const raters = new Set<string>()
  for (const { client_id, rater_id } of records.assessments)
    if (rater_id !== null && ids.has(client_id)) raters.add(rater_id)
  return pseudonyms(secret, 'rater', raters)
}
