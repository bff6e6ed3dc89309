import { type Loaded, type LoadOptions, loadFolder } from '../loadFolder.ts'
import { loadKept } from './loadKept.ts'

/** Set to anything, nothing is kept on disk from one run to the next, nor is used what was kept. */
export const NO_CACHE = 'WANELINE_NO_CACHE'

const noticed = new Set<string>()
/** On standard error, since standard output is for results; once, however often a folder is read. */
const onNotice = (text: string): void => {
  if (!noticed.has(text)) process.stderr.write(`${text}\n`)
  noticed.add(text)
}

/** {@link loadKept}, or {@link loadFolder} where the environment (`--no-cache`) says that nothing is to be kept. */
export const loadCached = (folder: string, options: LoadOptions = {}): Promise<Loaded> =>
  process.env[NO_CACHE] ? loadFolder(folder, options) : loadKept(folder, { ...options, onNotice })
