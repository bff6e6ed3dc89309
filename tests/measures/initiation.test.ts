import { expect, it } from 'vitest'
import { initiation } from '../../src/measures/persistence.ts'

// measures.md: "initiation: days from start to the first session; never started is its own answer".
it('counts who started within seven days, the seventh included, and who never did', () => {
  const clients = [8, 0, null, 7, 30].map((initiationDays) => ({ initiationDays }) as never)
  expect(initiation(clients)).toEqual({
    clients: 5,
    started: 4,
    neverStarted: 1,
    startedWithin7Days: 2,
    // Of 0, 7, 8, 30.
    medianDays: 7.5,
  })
  expect(initiation([{ initiationDays: null } as never])).toMatchObject({ started: 0, medianDays: null })
})
