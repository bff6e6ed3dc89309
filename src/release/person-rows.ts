import { eachClientWeek, type ProgrammeDays } from '../measures/index.ts'
import { compareRows, type Row } from './rows.ts'
import type { TableInput } from './tables.ts'
import { inUnits, monthsInUnits } from './time-units.ts'

/** Rows of the tables that have a person in them. People come sorted by pseudonym, so each table is sorted person by person. */

export const peopleRows = ({ people, unit, withheld }: TableInput): Row[] =>
  people.map(({ person, pseudonym, released }) => [
    pseudonym,
    ...released,
    withheld.has(pseudonym) ? null : monthsInUnits(person.monthsFollowed, unit),
  ])

export function* scoreRows({ clinic, people, raters, unit, withheld }: TableInput): Generator<Row> {
  for (const { person, pseudonym } of people) {
    if (withheld.has(pseudonym)) continue
    const own: Row[] = []
    for (const s of clinic.seriesOf(person.client.client_id))
      for (const score of s.scores)
        own.push([
          pseudonym,
          s.reflex,
          s.side,
          person.start === null ? null : inUnits(score.day - person.start, unit),
          score.score,
          s.scaleMax,
          score.rater === null ? null : raters.get(score.rater)!,
        ])
    yield* own.sort(compareRows)
  }
}

/** What a person's weeks in one unit of time add up to. */
interface UnitSums {
  readonly at: number
  lineDays: number
  dose: number
  full: number
  left: number
  right: number
}

const rowOf = (pseudonym: string, s: UnitSums): Row => [
  pseudonym,
  s.at,
  s.lineDays,
  s.dose / s.lineDays,
  s.full / s.lineDays,
  s.left > 0 && s.right > 0 ? s.left / s.right : null,
]

/** Place among the people of each client of the programme whose weeks leave; -1 of the others. */
function placesOf(days: ProgrammeDays, { people, withheld }: TableInput): Int32Array {
  const placeOf = new Map(
    people.map((p, i) => [p.person.client.client_id, withheld.has(p.pseudonym) ? -1 : i]),
  )
  return Int32Array.from(days.programme.clientIds, (id) => placeOf.get(id) ?? -1)
}

/** Client weeks gathered into the unit that leaves, each week weighing as many line-days as it has. */
export function adherenceRows(days: ProgrammeDays, input: TableInput): Row[] {
  const places = placesOf(days, input)
  const rowsOf: Row[][] = input.people.map(() => [])
  let sums: UnitSums | null = null
  let last = -1
  const finish = (): void => {
    if (sums) rowsOf[places[last]!]!.push(rowOf(input.people[places[last]!]!.pseudonym, sums))
    sums = null
  }
  eachClientWeek(days, (client, week, w) => {
    if (places[client]! < 0) return
    const at = inUnits(week * 7, input.unit)
    if (client !== last || sums?.at !== at) finish()
    last = client
    sums ??= { at, lineDays: 0, dose: 0, full: 0, left: 0, right: 0 }
    sums.lineDays += w.lineDays
    sums.dose += w.dose
    sums.full += w.inFull
    sums.left += w.leftReps
    sums.right += w.rightReps
  })
  finish()
  return rowsOf.flat()
}

/** Each client's mean dose fraction as logged over all line-days; those without a line-day have none. */
export function meanDoses(days: ProgrammeDays): number[] {
  const dose = new Float64Array(days.programme.clientIds.length)
  const lineDays = new Float64Array(dose.length)
  eachClientWeek(days, (client, _week, sums) => {
    dose[client]! += sums.dose
    lineDays[client]! += sums.lineDays
  })
  return Array.from(dose, (sum, client) => sum / lineDays[client]!).filter((x) => !Number.isNaN(x))
}
