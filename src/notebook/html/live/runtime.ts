import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { LETTER_WIDTHS, OTHER_WIDTH, ROOM } from '../../draw.ts'
import { packedBlock } from './pack.ts'

/** The runtime as a classic script, and the block of a page that carries it. */
export interface Runtime {
  readonly source: string
  readonly block: string
}

let made: Runtime | undefined

/** The one module that the interpreter imports, and what it takes from there. */
const IMPORT = /^import \{([^}]*)\} from 'vega-util';$/m
const EXPORT = /^export \{ (\w+) as expressionInterpreter \};$/m
const SOURCE_MAP = /^\/\/# sourceMappingURL=.*$/gm

/**
 * Vega's runtime and its expression interpreter as one script, from the packages as installed. Text is measured as when
 * the page was made, so that a chart that comes alive stays where it was.
 */
export function liveRuntime(): Runtime {
  if (made) return made
  const require = createRequire(import.meta.url)
  // The build for browsers lies beside the module, but is not among the package's exports.
  const vega = readFileSync(join(dirname(require.resolve('vega')), 'vega.min.js'), 'utf8')
  const interpreter = readFileSync(require.resolve('vega-interpreter'), 'utf8')
  const [, taken] = IMPORT.exec(interpreter) ?? []
  const [, expression] = EXPORT.exec(interpreter) ?? []
  if (taken === undefined || expression === undefined)
    throw new Error(
      'vega-interpreter is not laid out as it was in 2.3: its one import or export has changed.',
    )
  const body = interpreter.replace(IMPORT, '').replace(EXPORT, '')
  const source = `${vega}
;(()=>{'use strict';const {${taken}}=globalThis.vega
${body}
globalThis.vega.expressionInterpreter=${expression}
const widths=${JSON.stringify(LETTER_WIDTHS)}
globalThis.vega.textMetrics.width=(item,text)=>{let sum=0
for(const letter of String(text??item.text??''))sum+=widths[letter.charCodeAt(0)-32]??${OTHER_WIDTH}
const width=sum*(item.fontSize??11)*${ROOM}/1000;return item.limit?Math.min(item.limit,width):width}
})()
`.replace(SOURCE_MAP, '')
  made = { source, block: packedBlock('runtime', source) }
  return made
}
