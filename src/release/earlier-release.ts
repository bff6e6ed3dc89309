import { UserError } from '../errors.ts'
import { parseCsv } from './parse-csv.ts'

/** A person of a release: pseudonym, released values, and the scores without their times (reflex, side, score, scale). */
export interface ReleasedPerson {
  readonly person: string
  readonly values: readonly string[]
  readonly scores: readonly string[]
}

const PEOPLE_HEADINGS = 'person,age_band,sex,group,site_group,months_followed'
const SCORE_HEADINGS = 'person,reflex,side,time_from_start,score,scale_max,rater'

/**
 * The people of a release that was made earlier, from its people.csv and scores.csv.
 * @throws UserError where the headings are others
 */
export function releasedPeople(people: string, scores: string): ReleasedPerson[] {
  const [peopleHead, ...peopleRows] = parseCsv(people)
  const [scoreHead, ...scoreRows] = parseCsv(scores)
  if (peopleHead?.join() !== PEOPLE_HEADINGS || scoreHead?.join() !== SCORE_HEADINGS)
    throw new UserError(
      `An earlier release has people.csv with the headings ${PEOPLE_HEADINGS} and scores.csv with ${SCORE_HEADINGS}; here they are "${peopleHead?.join()}" and "${scoreHead?.join()}".`,
    )
  const scoresOf = new Map<string, string[]>()
  for (const [person, reflex, side, , score, scaleMax] of scoreRows) {
    const own = scoresOf.get(person!) ?? []
    scoresOf.set(person!, own)
    own.push(JSON.stringify([reflex, side, Number(score), Number(scaleMax)]))
  }
  return peopleRows.map(([person, ...cells]) => ({
    person: person!,
    values: cells.slice(0, 4),
    scores: scoresOf.get(person!) ?? [],
  }))
}
