import { readdirSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { describe, expect, it } from 'vitest'

const SRC = join(import.meta.dirname, '..', 'src')

/** What each room may import, besides itself and the floor under all rooms (errors, files). */
const MAY_USE: Record<string, readonly string[]> = {
  statistics: [],
  records: [],
  load: ['records'],
  measures: ['records', 'statistics'],
  release: ['records', 'statistics', 'measures'],
  charts: ['records', 'statistics', 'measures'],
  wording: ['records', 'statistics', 'measures'],
  notebook: ['charts'],
}

const importsOf = (file: string): string[] =>
  [...readFileSync(file, 'utf8').matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map((m) =>
    relative(SRC, join(file, '..', m[1] as string)),
  )

describe('the house', () => {
  for (const [room, allowed] of Object.entries(MAY_USE)) {
    it(`lets ${room} use only ${['itself', ...allowed].join(', ')}`, () => {
      const files = readdirSync(join(SRC, room), { recursive: true, encoding: 'utf8' })
        .filter((f) => f.endsWith('.ts'))
        .map((f) => join(SRC, room, f))
      const uphill = files.flatMap((file) =>
        importsOf(file)
          .filter(
            (target) => target.includes('/') && ![room, ...allowed].includes(target.split('/')[0] as string),
          )
          .map((target) => `${relative(SRC, file)} imports ${target}`),
      )
      expect(files.length).toBeGreaterThan(0)
      expect(uphill).toEqual([])
    })
  }
})
