import { build } from 'esbuild'

/** The job and its reading thread, each as one file of JavaScript: loading hundreds of small ones takes longer than a small caseload. */
await build({
  entryPoints: {
    caseload: 'tests/bench/caseload.ts',
    rangeWorker: 'src/load/formats/delimited/rangeWorker.ts',
  },
  outdir: 'dist/bench',
  bundle: true,
  minify: true,
  platform: 'node',
  format: 'esm',
  target: 'node20',
  // Some dependencies still ask for Node's modules by require.
  banner: { js: "import { createRequire as r } from 'node:module'; const require = r(import.meta.url);" },
})
