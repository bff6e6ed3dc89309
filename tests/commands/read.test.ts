import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { Command } from 'commander'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { registerRead } from '../../src/commands/read.ts'
import { withFolder } from '../load/folder.ts'

let printed = ''
beforeEach(() => {
  printed = ''
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    printed += String(text)
    return true
  })
})
afterEach(() => vi.restoreAllMocks())

const waneline = async (...words: string[]): Promise<string> => {
  const program = new Command('waneline').exitOverride()
  registerRead(program)
  await program.parseAsync(['node', 'waneline', 'read', ...words])
  return printed
}

const FILES = {
  'in/log.csv':
    'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,,5\nSM-1,2026-03-02,Galant,front\u001b[2J,5\nSM-1,soon,Moro,,ten\n',
  'in/odd.csv': 'Foo,Bar\n1,2\n',
}

describe('waneline read', () => {
  it('writes the five tables for their owner alone, and tells what was read, kept, rejected and made', async () => {
    await withFolder(FILES, async (folder) => {
      const out = join(folder, 'out')
      const report = await waneline(join(folder, 'in'), '--as-of', '2026-06-30', '--out', out)
      expect(readdirSync(out).sort()).toEqual([
        'assessments.csv',
        'clients.csv',
        'problems.csv',
        'programmes.csv',
        'sessions.csv',
      ])
      expect(statSync(join(out, 'sessions.csv')).mode & 0o077).toBe(0)
      expect(readFileSync(join(out, 'sessions.csv'), 'utf8').split('\n')[1]).toBe(
        'SM-1,2026-03-02,,moro,midline,,5,,,,,',
      )
      expect(report).toMatch(/log\.csv\s+sessions\s+3\s+1\s+2\s+1\n/)
      expect(report).toContain(
        '  unknown_value × 1 in log.csv\n    log.csv, line 3 (record 2), side: "front\\u001b[2J"\n    What to do: ',
      )
      expect(report).toContain('log.csv, line 4 (record 3), done_on: "soon"')
      expect(report).toMatch(/NOT READ: odd\.csv: its headings are not recognised/)
      expect(report).toMatch(/ATTENTION: 1 of 1 client has no assessment/)
    })
  })

  it('tells a kind of problem once over all files, with the first three by file and line', async () => {
    const head = 'Client ID,Date,Target,Side,Reps\n'
    const bad = 'SM-1,2026-03-02,Moro,,5\nSM-1,soon,Moro,,5\nSM-1,later,Moro,,5\n'
    await withFolder({ 'in/april.csv': head + bad, 'in/march.csv': head + bad }, async (folder) => {
      const report = await waneline(join(folder, 'in'), '--as-of', '2026-06-30', '--out', join(folder, 'out'))
      expect(report).toContain(
        [
          '  unreadable_date × 4 in 2 files (april.csv 2, march.csv 2)',
          '    april.csv, line 3 (record 2), done_on: "soon"; 2 in all',
          '    april.csv, line 4 (record 3), done_on: "later"; 2 in all',
          '    What to do: ',
        ].join('\n'),
      )
    })
  })

  it('shows each word that nobody knows once, the most frequent first, in 80 columns', async () => {
    const sides = ['top', 'top', 'mid way', 'top', ...'abcdefgh'].map(
      (side) => `SM-1,2026-03-02,Moro,${side}`,
    )
    const name = `in/a ${'long '.repeat(14)}name.csv`
    await withFolder(
      { [name]: `Client ID,Date,Target,Side,Reps\n${sides.join(',1\n')},1\n` },
      async (folder) => {
        await expect(
          waneline(join(folder, 'in'), '--as-of', '2026-06-30', '--out', join(folder, 'out')),
        ).rejects.toThrow(/Not one record could be taken/)
        const lines = printed.split('\n')
        expect(printed.replace(/\s+/g, ' ')).toContain('line 2 (record 1), side: "top"; 3 in all')
        expect(printed.match(/side: "top"/g)).toHaveLength(1)
        // Ten different words: eight are shown, and the account still comes to twelve records.
        expect(printed).toContain('and 2 more: see problems.csv')
        expect(printed).toContain('--suggest-guide')
        expect(
          lines.filter((line) => line.length > 80 && line.includes(' ') && !line.includes(folder)),
        ).toEqual([])
      },
    )
  })

  it('writes nothing where the day is no date, not given, or there is nowhere to write to', async () => {
    await withFolder(FILES, async (folder) => {
      const raw = join(folder, 'in')
      const out = join(folder, 'out')
      await expect(waneline(raw, '--as-of', '30/06/2026', '--out', out)).rejects.toThrow(
        /is no date. Write it as YYYY-MM-DD/,
      )
      await expect(waneline(raw, '--out', out)).rejects.toThrow(/as-of/)
      await expect(waneline(raw, '--as-of', '2026-06-30')).rejects.toThrow(/--out FOLDER/)
      expect(existsSync(out)).toBe(false)
    })
  })
})
