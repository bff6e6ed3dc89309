import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import * as w from '../../src/index.ts'

const DEMO = join(import.meta.dirname, '..', '..', 'datasets', 'saltmarsh')

describe('masked words and charts of every client of the demo clinic', () => {
  let loaded: Awaited<ReturnType<typeof w.loadFolder>>
  beforeAll(async () => {
    loaded = await w.loadFolder(DEMO, { asOf: Date.UTC(2026, 5, 30) / 86_400_000 })
  })

  it('say no code, place, clinician or date of the client', () => {
    const { records, asOf } = loaded
    expect(records.clients.length).toBeGreaterThan(40)
    for (const { client_id } of records.clients) {
      const one = w.clientCase(records, client_id, { asOf })
      const telling = w.tellingOf(one, true, 'Case 1')
      const said = JSON.stringify([
        w.patientRows(one, telling),
        w.caseSafety(one, telling),
        w.findingRows(one, telling),
        w.caseDifference(one),
        w.prescribedRows(one, telling),
        w.doneRows(one),
        w.caseFigures(one),
        w.casePhaseRows(one),
        w.casePhaseReasons(one),
        w.timelineOf(one, telling.from),
        w.sidesOf(one, telling.from),
        w.calendarOf(one, telling.from),
        w.deliveredOfClient(one),
        one.changes.map(({ status }) => w.seriesCourseOf(status, telling.from)),
      ])
      const found = w.identifyingTexts(records, one).filter((text) => text.length > 3 && said.includes(text))
      expect([client_id, found]).toEqual([client_id, []])
      expect([
        client_id,
        /\b20[012]\d-\d\d-\d\d|(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* 20\d\d/.exec(
          said,
        )?.[0],
      ]).toEqual([client_id, undefined])
      // Milliseconds since 1970 would give a date away as well.
      expect([client_id, /\b1[67]\d{11}\b/.exec(said)?.[0]]).toEqual([client_id, undefined])
    }
  }, 60_000)
})
