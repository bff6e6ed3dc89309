import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker } from 'node:worker_threads'

/** Built files are plain JavaScript; a thread that runs source files must first learn to read them. */
function startThread(beside: string, name: string, workerData: unknown): Worker {
  if (!beside.endsWith('.ts')) return new Worker(new URL(`./${name}.js`, beside), { workerData })
  const required = createRequire(import.meta.url).resolve('tsx/esm/api')
  const loader = pathToFileURL(required.replace(/cjs$/, 'mjs')).href
  const entry = new URL(`./${name}.ts`, beside).href
  return new Worker(
    `import(${JSON.stringify(loader)}).then(({ register }) => { register(); return import(${JSON.stringify(entry)}) })`,
    { workerData, eval: true, execArgv: [] },
  )
}

/** What a thread says: how far it has come, then its answer. */
export type ThreadMessage<R> = { readonly bytes: number } | { readonly answer: R }

/**
 * Does a task in a thread of its own.
 *
 * @param beside address of the module beside which the thread's own module lies
 * @param name name of that module, without its ending
 */
export const inThread = <R>(
  beside: string,
  name: string,
  task: unknown,
  onBytes: (bytes: number) => void = () => {},
): Promise<R> =>
  new Promise((resolve, reject) => {
    const worker = startThread(beside, name, task)
    worker.on('message', (message: ThreadMessage<R>) => {
      if ('bytes' in message) onBytes(message.bytes)
      else resolve(message.answer)
    })
    worker.once('error', reject)
    worker.once('exit', (code) => reject(new Error(`A reading thread ended early (${code}).`)))
  })
