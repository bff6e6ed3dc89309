import { readFileSync } from 'node:fs'

const manifest = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as {
  readonly version: string
}

/** The toolkit's version, as every page states it. */
export const VERSION: string = manifest.version
