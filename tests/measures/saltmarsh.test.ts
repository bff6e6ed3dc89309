import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { loadFolder } from '../../src/load/index.ts'
import {
  type Adherence,
  type AttentionResult,
  adherence,
  attentionList,
  excludedCount,
  type SafetyResult,
  safetyList,
  seriesStatuses,
} from '../../src/measures/index.ts'
import { parseDay, type Records } from '../../src/records/index.ts'

interface Truth {
  readonly parameters: {
    readonly as_of: string
    readonly weekend_factor: number
    readonly diary_kept_share: number
  }
  readonly clients: readonly {
    readonly client_id: string
    readonly story: string | null
    readonly adherence: number
    readonly stops_logging_day: number | null
  }[]
}

const DATASETS = join(import.meta.dirname, '..', '..', 'datasets')
const truth = JSON.parse(readFileSync(join(DATASETS, 'saltmarsh.parameters.json'), 'utf8')) as Truth
const asOf = parseDay(truth.parameters.as_of)!
const told = (story: string): string => truth.clients.find((c) => c.story === story)!.client_id

let records: Records
let log: Adherence
let safety: SafetyResult
let attention: AttentionResult

beforeAll(async () => {
  records = (await loadFolder(join(DATASETS, 'saltmarsh'), { asOf })).records
  log = adherence(records, { asOf })
  safety = safetyList(records, { asOf })
  attention = attentionList(records, { asOf, adherence: log, safety })
})

const reasons = (story: string) =>
  attention.entries.find((e) => e.client_id === told(story))?.reasons.map((r) => r.safetyKind ?? r.kind) ?? []

describe('the demo clinic, against what it was made from', () => {
  it('finds each family’s adherence again, as logged', () => {
    // A session is done with the family's own chance, less at weekends; some diary days are lost whole.
    const { weekend_factor, diary_kept_share } = truth.parameters
    const week = (5 + 2 * weekend_factor) / 7
    const plain = truth.clients.filter((c) => c.story === null && c.stops_logging_day === null)
    const ratios = plain.map((c) => {
      const found = log.clients.find((x) => x.client_id === c.client_id)!
      const ratio = found.sessionShare.asLogged! / (c.adherence * week * diary_kept_share)
      expect(ratio, c.client_id).toBeGreaterThan(0.85)
      expect(ratio, c.client_id).toBeLessThan(1.15)
      return ratio
    })
    expect(ratios.length).toBeGreaterThan(30)
    const mean = ratios.reduce((a, b) => a + b, 0) / ratios.length
    expect(Math.abs(mean - 1)).toBeLessThan(0.03)
  })

  it('finds who stopped logging: a long break begins the day after', () => {
    const stopped = truth.clients.filter(
      (c) => c.story === null && c.stops_logging_day !== null && c.stops_logging_day < asOf - 30,
    )
    expect(stopped.length).toBeGreaterThan(2)
    for (const c of stopped) {
      const found = log.clients.find((x) => x.client_id === c.client_id)!.firstLongBreak
      expect(Math.abs(found!.startsOn - c.stops_logging_day!), c.client_id).toBeLessThanOrEqual(3)
    }
  })

  it('lists today what was planted for today', () => {
    expect(reasons('seizure_reaction_last_week')[0]).toBe('seizure reaction')
    expect(reasons('electrical_with_seizures_on_record')[0]).toBe('electrical stimulation, seizures')
    expect(reasons('electrical_without_cautions_recorded')[0]).toBe(
      'electrical stimulation, cautions not recorded',
    )
    expect(reasons('intensity_jump')[0]).toBe('electrical stimulation, level raised by two or more')
    expect(reasons('extensor_plantar_new_at_four_years')[0]).toBe('extensor plantar past 24 months')
  })

  it('keeps what is long past under known', () => {
    const id = told('colour_reaction_long_ago')
    expect(safety.today.filter((e) => e.client_id === id)).toEqual([])
    expect(safety.known.find((e) => e.client_id === id)?.kind).toBe('colour reaction')
  })

  it('finds the other stories', () => {
    expect(reasons('reflex_returned')).toContain('returned')
    expect(reasons('rising')).toContain('rising')
    expect(reasons('stuck')).toContain('stuck')
    expect(reasons('never_started')[0]).toBe('not started')
    expect(reasons('no_assessment')).toContain('overdue')
    const statuses = seriesStatuses(records, { asOf }).series
    const wavering = statuses.filter((s) => s.series.client_id === told('reflex_wavering'))
    expect(wavering.map((s) => s.status)).toContain('wavering')
    const swapped = log.sideRatios.filter((s) => s.client_id === told('sides_swapped'))
    expect(swapped.some((s) => s.flagged)).toBe(true)
    const overdoing = log.clients.find((c) => c.client_id === told('overdoing'))!
    expect(overdoing.overDoseDaysCount).toBeGreaterThan(20)
  })

  it('counts everyone', () => {
    expect(log.enrolled).toBe(truth.clients.length)
    for (const result of [log, log.persistence, safety, attention])
      expect(result.enrolled).toBe(result.n + excludedCount(result.exclusions))
  })
})
