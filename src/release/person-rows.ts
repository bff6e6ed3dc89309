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

export function scoreRows({ people, raters, unit, withheld }: TableInput): Row[] {
  const rows: Row[] = []
  for (const { person, pseudonym } of people) {
    if (withheld.has(pseudonym)) continue
    const own: Row[] = []
    for (const s of person.series)
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
    for (const row of own.sort(compareRows)) rows.push(row)
  }
  return rows
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

/** Pseudonym of each client of the programme whose weeks leave. */
function leaving(days: ProgrammeDays, { people, withheld }: TableInput): (string | undefined)[] {
  const shown = people.filter((p) => !withheld.has(p.pseudonym))
  const pseudonymOf = new Map(shown.map((p) => [p.person.client.client_id, p.pseudonym]))
  return days.programme.clientIds.map((id) => pseudonymOf.get(id))
}

/** Client weeks gathered into the unit that leaves, each week weighing as many line-days as it has. */
export function adherenceRows(days: ProgrammeDays, input: TableInput): Row[] {
  const pseudonyms = leaving(days, input)
  const rowsOf = new Map<string, Row[]>()
  let sums: UnitSums | null = null
  let last = -1
  const finish = (): void => {
    if (sums === null) return
    const pseudonym = pseudonyms[last]!
    const own = rowsOf.get(pseudonym)
    if (own) own.push(rowOf(pseudonym, sums))
    else rowsOf.set(pseudonym, [rowOf(pseudonym, sums)])
    sums = null
  }
  eachClientWeek(days, (client, week, w) => {
    if (pseudonyms[client] === undefined) return
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
  return input.people.flatMap((p) => rowsOf.get(p.pseudonym) ?? [])
}
