import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { adherence, allSeries, seriesId } from '../../src/measures/index.ts'
import { formatDay, type Reflex, type Side } from '../../src/records/index.ts'
import { on } from './rows.ts'
import { readBenchmark, readTable } from './tables.ts'

// Computed by an independent program in R; see data/peers/README.md.
const FOLDER = join(import.meta.dirname, 'data', 'peers')
const records = readBenchmark(join(FOLDER, 'caseload'))
const ours = adherence(records, { asOf: on('2025-03-30') })

/** Every row of a peer's table as a record of its cells. */
function peerRows(name: string, columns: readonly string[]): Record<string, string>[] {
  const table = readTable(join(FOLDER, 'r', name))
  const cells = columns.map((c) => table.column(c))
  return Array.from({ length: table.rows }, (_, i) =>
    Object.fromEntries(columns.map((c, k) => [c, cells[k]![i]!])),
  )
}

function same(figure: number | null, cell: string, what: string): void {
  if (cell === '') expect(figure, what).toBeNull()
  else
    expect(Math.abs(figure! - Number(cell)), what).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(figure!)))
}

describe('an independent program agrees', () => {
  it('on every line', () => {
    const figures = {
      line_days: (l: (typeof ours.lines)[number]) => l.lineDays,
      full_days: (l: (typeof ours.lines)[number]) => l.daysInFullCount,
      days_covered: (l: (typeof ours.lines)[number]) => l.daysTouchedCount,
      covered_share: (l: (typeof ours.lines)[number]) => l.daysTouched.asLogged,
      adherence: (l: (typeof ours.lines)[number]) => l.sessionShare.asLogged,
      longest_gap: (l: (typeof ours.lines)[number]) => l.longestGap,
      sessions_done: (l: (typeof ours.lines)[number]) => l.sessionsDone,
      sessions_prescribed: (l: (typeof ours.lines)[number]) => l.sessionsPrescribed,
      reps_done: (l: (typeof ours.lines)[number]) => l.repsDone,
      reps_prescribed: (l: (typeof ours.lines)[number]) => l.repsPrescribed,
    }
    const rows = peerRows('adherence_lines.csv', [
      'client_id',
      'target',
      'side',
      'starts_on',
      ...Object.keys(figures),
    ])
    expect(ours.lines).toHaveLength(rows.length)
    expect(rows.length).toBeGreaterThan(40)
    for (const row of rows) {
      const line = ours.lines.find(
        (l) =>
          l.id === `${row.target}/${row.side}/${row.client_id}` && formatDay(l.startsOn) === row.starts_on,
      )!
      for (const [name, figure] of Object.entries(figures))
        same(figure(line), row[name]!, `${name} of ${line.id}`)
    }
  })

  it('on every client', () => {
    const rows = peerRows('adherence_clients.csv', [
      'client_id',
      'lines',
      'client_days',
      'days_covered',
      'adherence',
      'longest_gap',
    ])
    expect(ours.clients).toHaveLength(rows.length)
    for (const row of rows) {
      const c = ours.clients.find((x) => x.client_id === row.client_id)!
      same(c.lineCount, row.lines!, 'lines')
      same(c.clientDays, row.client_days!, 'client_days')
      same(c.daysWithSession, row.days_covered!, 'days_covered')
      same(c.sessionShare.asLogged, row.adherence!, 'adherence')
      same(c.longestGap, row.longest_gap!, 'longest_gap')
    }
  })

  it('on every week, by the calendar and by the programme', () => {
    const rows = peerRows('weekly.csv', ['clock', 'week', 'lines', 'line_days', 'adherence'])
    expect(ours.calendarWeeks.length + ours.programmeWeeks.length).toBe(rows.length)
    for (const row of rows) {
      const w =
        row.clock === 'calendar'
          ? ours.calendarWeeks.find((x) => formatDay(x.monday!) === row.week)!
          : ours.programmeWeeks.find((x) => String(x.week) === row.week)!
      same(w.lines, row.lines!, 'lines')
      same(w.lineDays, row.line_days!, 'line_days')
      same(w.sessionShare.asLogged, row.adherence!, 'adherence')
    }
  })

  it('on every side ratio', () => {
    const rows = peerRows('dose_ratio.csv', [
      'client_id',
      'target',
      'left_reps',
      'right_reps',
      'ratio',
      'prescribed_ratio',
    ])
    expect(ours.sideRatios).toHaveLength(rows.length)
    for (const row of rows) {
      const { whole } = ours.sideRatios.find((r) => r.client_id === row.client_id && r.target === row.target)!
      same(whole.leftDelivered, row.left_reps!, 'left_reps')
      same(whole.rightDelivered, row.right_reps!, 'right_reps')
      same(whole.ratio, row.ratio!, 'ratio')
      same(whole.prescribedRatio, row.prescribed_ratio!, 'prescribed_ratio')
    }
  })

  it('on every series: its start, its scores and its days', () => {
    const columns = [
      'client_id',
      'reflex',
      'side',
      'start',
      'scores',
      'days',
      'first_on',
      'last_on',
      'last_score',
    ]
    const rows = peerRows('series.csv', columns)
    const series = allSeries(records, { asOf: on('2025-03-30') }).filter((s) => s.clientStart !== null)
    expect(series).toHaveLength(rows.length)
    for (const row of rows) {
      const one = series.find(
        (s) => s.id === seriesId(row.client_id!, row.reflex as Reflex, row.side as Side),
      )!
      // That program starts a series without a line of its own with the client's first line.
      expect(formatDay(one.start ?? one.clientStart!)).toBe(row.start)
      same(one.scores.length, row.scores!, 'scores')
      same(one.occasions.length, row.days!, 'days')
      expect(formatDay(one.occasions[0]!.day)).toBe(row.first_on)
      expect(formatDay(one.occasions.at(-1)!.day)).toBe(row.last_on)
      same(one.occasions.at(-1)!.score, row.last_score!, 'last_score')
    }
  })
})
