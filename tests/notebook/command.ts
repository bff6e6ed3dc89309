import { spawn } from 'node:child_process'
import { createRequire } from 'node:module'
import { fileURLToPath, pathToFileURL } from 'node:url'

const CLI = fileURLToPath(new URL('../../src/cli.ts', import.meta.url))
const TSX = pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href

/** How `waneline` is started from its source. */
export const COMMAND = ['--disable-warning=DEP0205', '--import', TSX, '--conditions=waneline-source', CLI]

export interface Ended {
  readonly code: number | null
  readonly out: string
  readonly err: string
}

/** Runs `waneline` as a person would, in a folder. */
export function waneline(
  words: readonly string[],
  { cwd = process.cwd(), env = {} }: { readonly cwd?: string; readonly env?: NodeJS.ProcessEnv } = {},
): Promise<Ended> {
  return new Promise((done, reject) => {
    const child = spawn(process.execPath, [...COMMAND, ...words], { cwd, env: { ...process.env, ...env } })
    let out = ''
    let err = ''
    child.stdout.on('data', (chunk) => {
      out += chunk
    })
    child.stderr.on('data', (chunk) => {
      err += chunk
    })
    child.once('error', reject)
    child.once('close', (code) => done({ code, out, err }))
  })
}
