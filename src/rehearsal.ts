import type { Loaded } from './load/index.ts'
import {
  adherence,
  beforeAndAfter,
  caseloadTrajectory,
  phaseModel,
  seriesStatuses,
  timeToIntegration,
} from './measures/index.ts'
import { caseloadFilters, caseloadParts } from './wording/index.ts'

/** With more sessions than this the measures take so long that they are compiled on the way. */
const MOST_SESSIONS = 500_000

/** The measures that take longest, one a step, from the dearest on; what they find is thrown away. */
export function* rehearseCaseload({ records, asOf }: Loaded): Generator<void> {
  if (records.sessions.length > MOST_SESSIONS) return
  phaseModel(records, { asOf })
  yield
  const change = beforeAndAfter(records, { asOf })
  yield
  timeToIntegration(records, { asOf })
  yield
  const statuses = seriesStatuses(records, { asOf })
  const log = adherence(records, { asOf })
  caseloadParts(caseloadFilters(records, { asOf, statuses }), { statuses, log, change })
  yield
  caseloadTrajectory(records, { asOf })
}
