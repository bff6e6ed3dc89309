/** A process that type-checks one notebook and says what is wrong, or nothing. */
import { checkTypes } from '../check-types.ts'
import { readNotebook } from '../run.ts'

process.once('message', (path: string) => {
  let wrong = ''
  try {
    const { file, source } = readNotebook(path)
    checkTypes(file, path, source)
  } catch (error) {
    wrong = error instanceof Error ? error.message : String(error)
  }
  process.send?.(wrong, undefined, undefined, () => process.disconnect?.())
})
