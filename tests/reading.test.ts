import { expect, it } from 'vitest'
import { loadFolder, unreadCount } from '../src/reading.ts'
import { day, withFolder } from './load/folder.ts'

const LOG = 'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,,5\n'

it('a file that nothing could be made of is among the warnings that a page shows', async () => {
  // A zip's beginning and nothing behind it.
  const damaged = Buffer.from('PK\u0003\u0004 and no more')
  await withFolder(
    {
      'log.csv': LOG,
      'book.xlsx': damaged,
      'notes.csv': 'Foo,Bar\n1,2\n',
      'empty.csv': '',
      'left.csv': 'Foo,Bar\n1,2\n',
      'guide.yaml': 'files:\n  - match: left.csv\n    holds: nothing\n',
    },
    async (folder) => {
      const { warnings, ledger, notRead } = await loadFolder(folder, { asOf: day('2026-06-30') })
      // A case presentation names neither the files nor another client.
      expect(unreadCount({ notRead })).toBe('2 files were not read, so nothing of that is in these figures.')
      expect(warnings[0]).toMatch(
        /^Not read, so nothing of it is in these figures: book\.xlsx \(.+\); notes\.csv \(its headings are not recognised .+\)\.$/,
      )
      // Nothing is missing for want of an empty file, or of one that the guide says to leave.
      expect(notRead.map(({ file }) => file).sort()).toEqual([
        'book.xlsx',
        'empty.csv',
        'left.csv',
        'notes.csv',
      ])
      expect(ledger.map(({ file }) => file)).toContain('notes.csv')
    },
  )
  await withFolder({ 'log.csv': LOG }, async (folder) => {
    expect((await loadFolder(folder, { asOf: day('2026-06-30') })).warnings.join()).not.toContain('Not read')
  })
})

// A caller without types has no warning that a day is a number.
it.each([
  ['2026-06-30', "Make one with parseDay('2026-06-30')"],
  ['30/06/2026', "not '30/06/2026'. Make one with parseDay('"],
  [Number.NaN, 'not NaN'],
])('an as-of day that is no day (%s) is told in a sentence', async (asOf, words) => {
  await withFolder({ 'log.csv': LOG }, async (folder) => {
    for (const cache of [true, false])
      await expect(loadFolder(folder, { asOf: asOf as number, cache })).rejects.toThrow(words)
  })
})
