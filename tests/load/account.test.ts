import { expect, it } from 'vitest'
import { type Accounted, accountFor, beginAccount } from '../../src/load/account.ts'
import { readDelimited } from '../../src/load/formats/delimited.ts'
import { tieReferences } from '../../src/load/formats/fhirReferences.ts'
import { readTables } from '../../src/load/formats/readTables.ts'
import { memorySource } from '../../src/load/formats/source.ts'
import { guideContext } from '../../src/load/guide/rules.ts'
import type { RawTable } from '../../src/load/raw.ts'
import { csvOf, parseDay, TABLE_COLUMNS, type TableName } from '../../src/records/index.ts'

const AS_OF = parseDay('2026-06-30')!

/** Each file has records that stand, and one that breaks a rule. */
const FILES: Readonly<Record<string, string>> = {
  'assessments.csv':
    'client_id,assessed_on,reflex,side,score,scale_max\nSM-1,2026-01-05,moro,midline,3,4\nSM-9,2026-01-05,moro,midline,3,4\nSM-2,2026-02-01,moro,midline,9,4\n',
  'clients.csv':
    'client_id,birth_date,sex\nSM-1,2024-01-01,female\nSM-2,2024-13-01,male\nSM-2,2024-02-01,male\n',
  'programmes.csv':
    'client_id,target,side,starts_on,sessions_per_day,reps_per_session\nSM-1,moro,midline,2026-01-06,3,10\nSM-1,moro,up,2026-01-06,3,10\n',
  'sessions-march.csv':
    'client_id,done_on,target,side,reps\nSM-1,2026-03-01,moro,midline,10\nSM-1,2026-03-01,moro,midline,ten\n',
  'sessions.csv':
    'client_id,done_on,target,side,reps\nSM-1,2026-02-01,moro,midline,10\nSM-8,2026-02-01,moro,midline,10\nSM-1,2026-08-01,moro,midline,10\n',
  'server.json': JSON.stringify({
    resourceType: 'Bundle',
    entry: [
      {
        resource: {
          resourceType: 'Patient',
          id: 'p1',
          identifier: [{ value: 'SM-1' }],
          birthDate: '2024-01-01',
        },
      },
    ],
  }),
}
const context = guideContext({})

async function tablesOf(files: readonly string[]): Promise<RawTable[]> {
  const tables: RawTable[] = []
  for (const file of files)
    tables.push(...(await readTables(memorySource(file, Buffer.from(FILES[file]!)), context, readDelimited)))
  return tables
}

const plain = ({ records, ledger, notRead, warnings }: Accounted) => ({
  tables: (Object.keys(TABLE_COLUMNS) as TableName[]).map((name) => [...csvOf(records, name)].join('')),
  ledger,
  notRead,
  warnings,
})

const CSV = Object.keys(FILES).filter((file) => file.endsWith('.csv'))

it.each(CSV)(
  'the account is the same when all but %s were accounted for while it was still read',
  async (late) => {
    const tables = await tablesOf(CSV)
    const whole = accountFor(tables, context, AS_OF)
    expect(whole.ledger.map((entry) => entry.rejected)).toEqual([2, 2, 1, 0, 2])
    const begun = beginAccount(
      tables.filter(({ file }) => file !== late),
      context,
      AS_OF,
    )
    expect(begun).not.toBeNull()
    expect(plain(accountFor(tables, context, AS_OF, [], 'rejected', begun))).toEqual(plain(whole))
  },
)

it('is begun anew where a table that came late changes those that were there', async () => {
  const tables = await tablesOf([...CSV, 'server.json'])
  const begun = beginAccount(tieReferences(await tablesOf(CSV)), context, AS_OF)
  expect(plain(accountFor(tieReferences(tables), context, AS_OF, [], 'rejected', begun))).toEqual(
    plain(accountFor(tieReferences(tables), context, AS_OF)),
  )
})
