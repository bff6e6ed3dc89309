import { makeRelease } from '../../src/release/index.ts'
import { simulateCaseload } from '../measures/simulate.ts'

/** Time and memory of a release: `tsx --conditions=waneline-source tests/bench/release.ts [people]`. */
const people = Number(process.argv[2] ?? 100_000)
const { records, asOf } = simulateCaseload(1, { clients: people, reflexesPerClient: 1 })
const named = {
  ...records,
  clients: records.clients.map((c, i) => ({
    ...c,
    sex: (['female', 'male'] as const)[i % 2]!,
    site: ['Heron', 'Curlew', 'Plover'][i % 3]!,
    group: ['early', 'school'][i % 5 === 0 ? 1 : 0]!,
    research_consent: 'yes' as const,
  })),
}
const began = performance.now()
const made = makeRelease(named, { asOf, secret: new Uint8Array(32).fill(1) })
const seconds = (performance.now() - began) / 1000
console.log(
  `${made.risk.people.released} people in ${seconds.toFixed(1)} s; peak ${Math.round(process.resourceUsage().maxRSS / 1024)} MB with the caseload itself`,
)
