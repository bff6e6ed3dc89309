import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { API_FILE, apiReference } from '../../notebooks/guides/api-reference.ts'

it('the reference of functions is what the docstrings say; if not, run `npm run reference:api`', () => {
  const now = apiReference()
  expect(readFileSync(API_FILE, 'utf8')).toBe(now)
  for (const name of ['loadFolder', 'show', 'beforeAndAfter', 'pairedTTest'])
    expect(now).toContain(`### ${name}\n`)
})
