/**
 * Many runs in one process, as a long-lived program that uses the toolkit would make them: read, measure, draw the page.
 * Prints `runs heap` in MiB after the runs asked for, garbage collected. Run with --expose-gc.
 *
 *     soak.ts FOLDER [RUNS]
 */
import {
  adherence,
  adherenceByWeekChart,
  allSeries,
  attentionCounts,
  attentionList,
  figures,
  loadFolder,
  parseDay,
  reactions,
  safetyList,
  seriesStatuses,
  show,
  statusByReflexChart,
} from 'waneline'
import { blockOf } from '../../src/notebook/blocks.ts'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { madePage } from '../notebook/made-page.ts'

const [folder = '', runs = '200'] = process.argv.slice(2)
const asOf = parseDay('2026-06-30')
const TOLD = [5, 20, 50, 100, 150, 200]

/** One run; every second one from what was kept of the first. */
async function once(run: number): Promise<number> {
  const loaded = await loadFolder(folder, { asOf: asOf as number, cache: run % 2 === 0 })
  const { records } = loaded
  const day = { asOf: loaded.asOf }
  const statuses = seriesStatuses(records, day)
  const log = adherence(records, day)
  const safety = safetyList(records, { ...day, statuses })
  const attention = attentionList(records, { ...day, statuses, adherence: log, safety })
  const blocks = [
    `# Run with ${allSeries(records, day).length} series and ${reactions(records, day).n} sessions`,
    figures(attentionCounts(attention)),
    statusByReflexChart(statuses.series),
    adherenceByWeekChart(log.calendarWeeks),
  ].map((value) => blockOf(value))
  show(`Outside a run, this goes nowhere: run ${run}`)
  return (await pageHtml(madePage('Soak', blocks), { code: false, live: run % 10 === 0 })).length
}

async function main(): Promise<void> {
  for (let run = 1; run <= Number(runs); run++) {
    if ((await once(run)) === 0) throw new Error('An empty page.')
    if (!TOLD.includes(run)) continue
    for (let k = 0; k < 3; k++) {
      await new Promise((done) => setImmediate(done))
      globalThis.gc?.()
    }
    const { heapUsed, arrayBuffers, external } = process.memoryUsage()
    const mebibytes = (bytes: number): string => (bytes / 2 ** 20).toFixed(2)
    process.stdout.write(
      `${run} ${mebibytes(heapUsed + external)} heap ${mebibytes(heapUsed)} buffers ${mebibytes(arrayBuffers)}\n`,
    )
  }
}

await main()
