import { execFileSync } from 'node:child_process'
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

export const ROOT = fileURLToPath(new URL('../..', import.meta.url))

/** Builds into a copy of the checkout and packs it as `npm pack` does, into a folder. Gives the archive's path. */
export function pack(into: string): string {
  const copy = mkdtempSync(join(tmpdir(), 'waneline-pack-'))
  // Links to folders would be packed as links: what is packed has to be copied.
  for (const name of readdirSync(ROOT)) {
    if (['.git', 'dist', 'reports', 'tests'].includes(name)) continue
    if (['datasets', 'notebooks', 'package.json', 'LICENSE', 'README.md'].includes(name))
      cpSync(join(ROOT, name), join(copy, name), { recursive: true })
    else symlinkSync(join(ROOT, name), join(copy, name))
  }
  execFileSync('npx', ['tsc', '-p', 'tsconfig.build.json', '--outDir', join(copy, 'dist')], { cwd: ROOT })
  const packed = execFileSync('npm', ['pack', '--silent', '--ignore-scripts', '--pack-destination', into], {
    cwd: copy,
    encoding: 'utf8',
  })
  rmSync(copy, { recursive: true })
  return join(into, packed.trim())
}

/** A block of a guide: its language and its text. */
export interface GuideBlock {
  readonly language: string
  readonly text: string
}

/** The code blocks of the guide for those who install the package, in order. */
export const libraryGuide = (): GuideBlock[] =>
  [
    ...readFileSync(join(ROOT, 'notebooks/guides/library.md'), 'utf8').matchAll(
      /^ *```(\w+)\n([\s\S]*?)^ *```$/gm,
    ),
  ].map(([, language, text]) => ({ language: language!, text: text!.replace(/^ {3}/gm, '') }))

/** The files that its blocks of code are, in order. */
export const GUIDE_FILES = ['script.mjs', 'typed.mts']
