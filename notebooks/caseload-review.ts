import {
  adherence,
  adherenceByWeekChart,
  attentionCounts,
  attentionEntries,
  attentionList,
  clientFlow,
  dayWords,
  entries,
  figures,
  fileRows,
  flowChart,
  folded,
  folderParameters,
  glossaryMarkdown,
  loadFolder,
  notice,
  PAGE_CAUTIONS,
  parameters,
  problemRows,
  readingSentence,
  safetyList,
  seriesStatuses,
  show,
  statusByReflexChart,
  table,
} from 'waneline'

const { data, asOf: day, guide } = parameters(folderParameters)
const loaded = await loadFolder(data, { asOf: day, guide })
const { records, asOf } = loaded
const statuses = seriesStatuses(records, { asOf })
const log = adherence(records, { asOf })
const safety = safetyList(records, { asOf, statuses })
const attention = attentionList(records, { asOf, statuses, adherence: log, safety })

// %% Who needs us
const here = attention.n
show(`# Caseload review, ${dayWords(asOf)}

${here} clients in care and ${records.clients.length - here} discharged, from ${loaded.sources.length} files.`)
/* md
## Who needs us, and why
*/
const today = attention.entries.filter((e) => e.kind === 'look today').length
show(
  today > 0
    ? notice(
        'urgent',
        `${today} clients have something on record that a licensed clinician should look at today`,
        'Most urgent first. The list names what was recorded; it does not say what to do.',
      )
    : notice(
        'plain',
        'Nothing on record that has to be looked at today',
        'The list names what was recorded; it does not say what to do.',
      ),
)
show(entries('', attentionEntries(attention)))
show(figures(attentionCounts(attention)))

// %% The caseload at a glance
/* md
## The caseload at a glance
*/
show(statusByReflexChart(statuses.series))

// %% What was done
/* md
## What was done of what was prescribed
*/
show(adherenceByWeekChart(log.calendarWeeks))

// %% Who is counted
/* md
## Who is counted, and who is not
*/
show(flowChart(clientFlow(records, { asOf }).stages))

// %% What was read
/* md
## What was read, and what was rejected
*/
show(readingSentence(loaded.ledger))
show(table(problemRows(loaded.ledger), { caption: 'Problems by rule' }))
show(folded('Every file', table(fileRows(loaded.ledger), { caption: 'Files' })))

// %% Cautions
/* md
## Read this with care
*/
show(notice('caution', 'What these figures cannot show', PAGE_CAUTIONS))
show(folded('Words used on this page', glossaryMarkdown()))
