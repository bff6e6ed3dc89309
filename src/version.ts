import { readFileSync } from 'node:fs'

const manifest = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as {
  readonly version: string
  readonly dependencies: Readonly<Record<string, string>>
}

/** The toolkit's version, as every page states it. */
export const VERSION: string = manifest.version

/** The packages it runs on, by name: any of them may change a number, a word or a picture on a page. */
export const DEPENDENCIES: readonly string[] = Object.keys(manifest.dependencies)
  .filter((name) => !name.startsWith('@types/'))
  .sort()
