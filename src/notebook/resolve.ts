import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { register } from 'node:module'
import { dirname, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import { MessageChannel, receiveMessageOnPort } from 'node:worker_threads'
import type { InputFile } from './collector.ts'

/** True where the toolkit runs from its TypeScript source. */
export const FROM_SOURCE = import.meta.url.endsWith('.ts')

/** The toolkit that runs: what a notebook gets when it imports `waneline`, wherever the notebook lies. */
export const TOOLKIT = new URL(FROM_SOURCE ? '../index.ts' : '../index.js', import.meta.url)

/** Where the type check finds the types of `waneline`. */
export const TOOLKIT_TYPES = fileURLToPath(
  new URL(FROM_SOURCE ? '../index.ts' : '../index.d.ts', import.meta.url),
)

/**
 * From here on `waneline` is this toolkit, and the notebook and its helpers are modules, also in a folder without a
 * package.json: so that a notebook in any folder runs as it would within a project. The hook runs in a thread of Node's own, which
 * reads no TypeScript, hence the text.
 *
 * In such a folder tsx would take a helper for CommonJS, under an address that says so: its plain address is put back.
 *
 * @returns a function that lists the files of its own that the notebook has imported so far (helpers, data), those that
 * they import among them: by path from the notebook's folder
 */
export function resolveToolkit(notebookUrl: string): () => InputFile[] {
  const hook = `
const [toolkit, notebook] = ${JSON.stringify([TOOLKIT.href, notebookUrl])}
const own = new Set([notebook])
let port
export function initialize(data) { port = data.port }
export async function resolve(specifier, context, next) {
  if (specifier === 'waneline') return next(toolkit, context)
  const found = await next(specifier, context)
  const url = found.url.replace(/(\\?|%3F).*$/, '')
  if (/^(\\.|\\/|file:)/.test(specifier) && own.has(context.parentURL ?? '') && !own.has(url)) {
    own.add(url)
    port.postMessage(url)
  }
  return own.has(url) && /\\.tsx?$/.test(url) ? { ...found, url, format: 'module' } : found
}`
  const { port1, port2 } = new MessageChannel()
  port1.unref()
  register(`data:text/javascript,${encodeURIComponent(hook)}`, {
    data: { port: port2 },
    transferList: [port2],
  })
  return () => {
    const urls: string[] = []
    for (let told = receiveMessageOnPort(port1); told; told = receiveMessageOnPort(port1))
      urls.push(told.message as string)
    return urls.map((url) => moduleInput(fileURLToPath(url), dirname(fileURLToPath(notebookUrl))))
  }
}

function moduleInput(file: string, folder: string): InputFile {
  const bytes = readFileSync(file)
  return {
    file: relative(folder, file).replaceAll('\\', '/'),
    sha256: createHash('sha256').update(bytes).digest('hex'),
    bytes: bytes.length,
    records: null,
  }
}
