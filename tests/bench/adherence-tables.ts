import type { ClientAdherence, LineAdherence, WeekAdherence } from '../../src/measures/index.ts'
import { type Cell, iso } from './csv.ts'

export const LINE_COLUMNS =
  'client_id target side starts_on line_days days_covered full_days covered_share adherence longest_gap sessions_done sessions_prescribed reps_done reps_prescribed'

export const lineRow = (l: LineAdherence): Cell[] => [
  l.client_id,
  l.target,
  l.side,
  iso(l.startsOn),
  l.lineDays,
  l.daysTouchedCount,
  l.daysInFullCount,
  l.daysTouched.asLogged,
  l.sessionShare.asLogged,
  l.longestGap,
  l.sessionsDone,
  l.sessionsPrescribed,
  l.repsDone,
  l.repsPrescribed,
]

export const CLIENT_COLUMNS = 'client_id lines client_days days_covered covered_share adherence longest_gap'

export const clientRow = (c: ClientAdherence): Cell[] => [
  c.client_id,
  c.lineCount,
  c.clientDays,
  c.daysWithSession,
  c.daysWithSession / c.clientDays,
  c.sessionShare.asLogged,
  c.longestGap,
]

export const WEEK_COLUMNS = 'clock week lines line_days adherence'

export const weekRow = (w: WeekAdherence): Cell[] => [
  w.monday === null ? 'programme' : 'calendar',
  w.monday === null ? w.week : iso(w.monday),
  w.lines,
  w.lineDays,
  w.sessionShare.asLogged,
]

export const DOSE_COLUMNS = 'client_id target left_reps right_reps ratio prescribed_ratio'

/** Left against right of each client and target that has both, over all its lines; lines come by client and target. */
export function* doseRows(lines: readonly LineAdherence[]): Generator<Cell[]> {
  for (let from = 0; from < lines.length; ) {
    const first = lines[from]!
    let to = from + 1
    while (lines[to]?.client_id === first.client_id && lines[to]?.target === first.target) to++
    const sides = ['left', 'right'].map((side) => lines.slice(from, to).filter((l) => l.side === side))
    const [left, right] = sides.map((own) => own.reduce((sum, l) => sum + l.repsDone, 0)) as [number, number]
    const prescribed = sides.map((own) =>
      own.reduce<number | null>(
        (sum, l) => (sum === null || l.repsPrescribed === null ? null : sum + l.repsPrescribed),
        0,
      ),
    ) as [number | null, number | null]
    if (sides.every((own) => own.length > 0))
      yield [first.client_id, first.target, left, right, ratio(left, right), ratio(...prescribed)]
    from = to
  }
}

const ratio = (a: number | null, b: number | null): number | null =>
  a === null || b === null || !(b > 0) ? null : a / b
