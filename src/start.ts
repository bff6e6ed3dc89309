/** `npm start`: the main job on the demo clinic. */
import { execFileSync } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('..', import.meta.url))
const cli = fileURLToPath(new URL('./cli.ts', import.meta.url))
const waneline = (...words: readonly string[]): void => {
  execFileSync(process.execPath, [...process.execArgv, cli, ...words], { cwd: root, stdio: 'inherit' })
}

process.stdout.write('Running the caseload review on the demo clinic Saltmarsh (invented data).\n')
waneline(
  'run',
  'notebooks/caseload-review.ts',
  '--data',
  'datasets/saltmarsh',
  '--as-of',
  '2026-06-30',
  '--out',
  'reports',
)
process.stdout.write('Open the page above in a browser. README.md says how to run it on your own exports.\n')
