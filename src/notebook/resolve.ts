import { register } from 'node:module'
import { fileURLToPath } from 'node:url'

/** True where the toolkit runs from its TypeScript source. */
export const FROM_SOURCE = import.meta.url.endsWith('.ts')

/** The toolkit that runs: what a notebook gets when it imports `waneline`, wherever the notebook lies. */
export const TOOLKIT = new URL(FROM_SOURCE ? '../index.ts' : '../index.js', import.meta.url)

/** Where the type check finds the types of `waneline`. */
export const TOOLKIT_TYPES = fileURLToPath(
  new URL(FROM_SOURCE ? '../index.ts' : '../index.d.ts', import.meta.url),
)

/**
 * From here on `waneline` is this toolkit, and the notebook is a module, also in a folder without a package.json: so
 * that a notebook in any folder runs as it would within a project. The hook runs in a thread of Node's own, which
 * reads no TypeScript, hence the text.
 */
export function resolveToolkit(notebookUrl: string): void {
  const hook = `
const [toolkit, notebook] = ${JSON.stringify([TOOLKIT.href, notebookUrl])}
export async function resolve(specifier, context, next) {
  if (specifier === 'waneline') return next(toolkit, context)
  const found = await next(specifier, context)
  return found.url.split('?')[0] === notebook ? { ...found, format: 'module' } : found
}`
  register(`data:text/javascript,${encodeURIComponent(hook)}`)
}
