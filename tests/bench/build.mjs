import { rmSync } from 'node:fs'
import { build } from 'esbuild'

/**
 * The job and its reading threads, each as one file of JavaScript (and one for each library that is loaded only when it is needed):
 * loading hundreds of small ones takes longer than a small caseload.
 */
const outdir = 'dist/bench'
rmSync(outdir, { recursive: true, force: true })
await build({
  entryPoints: {
    caseload: 'tests/bench/caseload.ts',
    fingerprintWorker: 'src/load/fingerprintWorker.ts',
    rangeWorker: 'src/load/formats/delimited/rangeWorker.ts',
  },
  outdir,
  bundle: true,
  splitting: true,
  minify: true,
  platform: 'node',
  format: 'esm',
  target: 'node20',
  // Some dependencies still ask for Node's modules by require.
  banner: {
    js: "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url);",
  },
})
