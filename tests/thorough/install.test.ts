import { execFileSync } from 'node:child_process'
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { GUIDE_FILES, libraryGuide, pack } from '../notebook/packed.ts'

describe('the package, installed by npm from its archive', () => {
  it('does what its guide says, word for word, in an empty folder', () => {
    const cwd = mkdtempSync(join(tmpdir(), 'waneline-real-install-'))
    pack(cwd)
    const names = [...GUIDE_FILES]
    const said: string[] = []
    for (const { language, text } of libraryGuide())
      if (language === 'sh')
        said.push(execFileSync('bash', ['-e', '-c', text], { cwd, encoding: 'utf8', stdio: 'pipe' }))
      else writeFileSync(join(cwd, names.shift()!), text)
    expect(names).toEqual([])
    expect(said.at(-1)).toContain('is reproduced')
  })
})
