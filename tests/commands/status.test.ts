import { describe, expect, it } from 'vitest'
import { withStatus } from '../../src/commands/status.ts'

describe('withStatus', () => {
  it('says on a terminal what is being done, and leaves an empty line, also where the work fails', async () => {
    const said: string[] = []
    const failing = withStatus(
      'notebooks/a\u001b.ts',
      async (status) => {
        status('reading')
        throw new Error('no')
      },
      true,
      (text) => void said.push(text),
    )
    await expect(failing).rejects.toThrow('no')
    expect(said).toEqual(['\ra\\u001b.ts: reading ...\x1b[K', '\r\x1b[K'])
  })

  it('says nothing into a pipe', async () => {
    const said: string[] = []
    expect(
      await withStatus(
        'a.ts',
        async (status) => {
          status('reading')
          return 3
        },
        false,
        (text) => void said.push(text),
      ),
    ).toBe(3)
    expect(said).toEqual([])
  })
})
