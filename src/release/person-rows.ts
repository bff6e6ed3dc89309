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
          score.rater === null || raters === null ? null : raters.get(score.rater)!,
        ])
    yield* own.sort(compareRows)
  }
}

/** What one person's weeks in one unit of time add up to. */
interface UnitSums {
  place: number
  at: number
  lineDays: number
  dose: number
  full: number
  left: number
  right: number
}

/** Sums of people and units as plain numbers, one after the other; the rows of one person stand together. */
class UnitTable {
  readonly #numbers: number[] = []
  readonly #first: Int32Array
  readonly #rows: Int32Array

  constructor(people: number) {
    this.#first = new Int32Array(people)
    this.#rows = new Int32Array(people)
  }

  push({ place, at, lineDays, dose, full, left, right }: UnitSums): void {
    if (this.#rows[place]!++ === 0) this.#first[place] = this.#numbers.length
    this.#numbers.push(
      at,
      lineDays,
      dose / lineDays,
      full / lineDays,
      left > 0 && right > 0 ? left / right : -1,
    )
  }

  *rowsOf(place: number, pseudonym: string): Generator<Row> {
    for (let r = 0; r < this.#rows[place]!; r++) {
      const from = this.#first[place]! + 5 * r
      const [at, lineDays, dose, full, ratio] = this.#numbers.slice(from, from + 5)
      yield [pseudonym, at!, lineDays!, dose!, full!, ratio! < 0 ? null : ratio!]
    }
  }
}

/** Place among the people of each client of the programme whose weeks leave; -1 of the others. */
function placesOf(days: ProgrammeDays, { people, withheld }: TableInput): Int32Array {
  const placeOf = new Map(
    people.map((p, i) => [p.person.client.client_id, withheld.has(p.pseudonym) ? -1 : i]),
  )
  return Int32Array.from(days.programme.clientIds, (id) => placeOf.get(id) ?? -1)
}

/** Client weeks gathered into the unit that leaves, each week weighing as many line-days as it has. */
export function* adherenceRows(days: ProgrammeDays, input: TableInput): Generator<Row> {
  const places = placesOf(days, input)
  const table = new UnitTable(input.people.length)
  let sums: UnitSums | null = null
  eachClientWeek(days, (client, week, w) => {
    const place = places[client]!
    if (place < 0) return
    const at = inUnits(week * 7, input.unit)
    if (sums && (sums.place !== place || sums.at !== at)) {
      table.push(sums)
      sums = null
    }
    sums ??= { place, at, lineDays: 0, dose: 0, full: 0, left: 0, right: 0 }
    sums.lineDays += w.lineDays
    sums.dose += w.dose
    sums.full += w.inFull
    sums.left += w.leftReps
    sums.right += w.rightReps
  })
  if (sums) table.push(sums)
  for (const [place, { pseudonym }] of input.people.entries()) yield* table.rowsOf(place, pseudonym)
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
