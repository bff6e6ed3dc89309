import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { GUIDE_FILES } from '../folder.ts'
import type { LoadOptions } from '../loadFolder.ts'

const ROOMS = ['load', 'records']

let program: string | null | undefined

/**
 * Digest of the program that reads: its version, the packages it names, and the code of the rooms that make the records,
 * so that a changed interpreter never meets records of the old one. Null where that code is not to be found (a bundle).
 */
export function programDigest(): string | null {
  program ??= digestOfCode()
  return program
}

function digestOfCode(): string | null {
  const home = fileURLToPath(new URL('../../', import.meta.url))
  try {
    const digest = createHash('sha256')
    for (const room of ROOMS) {
      const files = readdirSync(join(home, room), { recursive: true, encoding: 'utf8' })
      for (const file of files.filter((f) => /(?<!\.d)\.[jt]s$/.test(f)).sort())
        digest.update(JSON.stringify([room, file])).update(readFileSync(join(home, room, file)))
    }
    digest.update(readFileSync(join(home, '../package.json')))
    return digest.update(process.version).digest('hex')
  } catch {
    return null
  }
}

/**
 * Digest of all that a reading depends on beside the files it reads: the program, the options and the guide's own words.
 * Null where the guide cannot be read: then the reading itself says why.
 */
export function setupDigest(
  folder: string,
  { asOf, guide, linesWithoutDose }: LoadOptions,
  program: string,
): string | null {
  try {
    const words =
      typeof guide === 'object'
        ? guide
        : (guide === undefined ? GUIDE_FILES.map((name) => join(folder, name)) : [guide]).map((path) =>
            guideText(path, guide === undefined),
          )
    const setup = JSON.stringify([program, asOf, linesWithoutDose ?? null, typeof guide, words])
    return createHash('sha256').update(setup).digest('hex')
  } catch {
    return null
  }
}

function guideText(path: string, mayBeMissing: boolean): readonly string[] {
  try {
    return [basename(path), readFileSync(path).toString('base64')]
  } catch (cause) {
    if (mayBeMissing && (cause as NodeJS.ErrnoException).code === 'ENOENT') return [basename(path)]
    throw cause
  }
}
