import { describe, expect, it } from 'vitest'
import { barText, progressBar } from '../../src/commands/progressBar.ts'

const at = (bytes: number, file = 'log.csv') => ({ file, bytes, totalBytes: 400 })

describe('the bar of a long read', () => {
  it('says how much of all files is read, and which is being read', () => {
    expect(barText(at(0))).toBe(`[${'.'.repeat(30)}] 0 % log.csv`)
    expect(barText(at(100))).toBe(`[${'#'.repeat(8)}${'.'.repeat(22)}] 25 % log.csv`)
    expect(barText(at(400))).toBe(`[${'#'.repeat(30)}] 100 % log.csv`)
  })

  it('stays within its line: more bytes than there were, a long path, a name with control characters', () => {
    expect(barText(at(900))).toContain('] 100 % ')
    expect(barText(at(1, `${'folder/'.repeat(20)}log.csv`))).toBe(
      `[${'.'.repeat(30)}] 0 % …der/folder/folder/folder/folder/log.csv`,
    )
    expect(barText(at(1, 'a\u001b[2Jb.csv'))).toBe(`[${'.'.repeat(30)}] 0 % a\\u001b[2Jb.csv`)
  })

  const shownAt = (onTerminal: boolean, times: readonly number[]): string[] => {
    const written: string[] = []
    let clock = 0
    const bar = progressBar(
      onTerminal,
      (text) => void written.push(text),
      () => clock,
    )
    for (const time of times) {
      clock = time
      bar.show(at(time / 10))
    }
    return written
  }

  it('is quiet where nobody looks at a terminal, and for reads that are soon done', () => {
    expect(shownAt(false, [0, 1000, 2000])).toEqual([])
    expect(shownAt(true, [0, 200, 499])).toEqual([])
  })

  it('is drawn again at most ten times a second', () => {
    expect(shownAt(true, [0, 500, 550, 599, 600, 610, 1000])).toHaveLength(3)
  })

  it('does not stop a read because the terminal takes no more for now', () => {
    let clock = 0
    let tried = 0
    const full = (): never => {
      tried++
      throw Object.assign(new Error('EAGAIN'), { code: 'EAGAIN' })
    }
    const bar = progressBar(true, full, () => clock)
    clock = 1000
    bar.show(at(1))
    expect(tried).toBe(1)
  })
})
