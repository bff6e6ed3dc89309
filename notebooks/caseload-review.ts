import * as w from 'waneline'

const { entries, figures, filters, folded, grid, notice, show, table, variants } = w

const { data, asOf: day, guide, seed } = w.parameters(w.folderParameters)
const loaded = await w.loadFolder(data, { asOf: day, guide })
const { records, asOf } = loaded
const series = w.allSeries(records, { asOf })
const statuses = w.seriesStatuses(records, { asOf })
const log = w.adherence(records, { asOf })
const safety = w.safetyList(records, { asOf, statuses })
const attention = w.attentionList(records, { asOf, statuses, adherence: log, safety })
const change = w.beforeAndAfter(records, { asOf, seed })
const harms = w.reactions(records, { asOf })
const about = w.caseloadFilters(records, { asOf, statuses })

const phases = w.phaseModel(records, { asOf })

// %% Who needs us
show(`# Caseload review, ${w.dayWords(asOf)}

${attention.n} ${attention.n === 1 ? 'client' : 'clients'} in care, ${records.clients.length - attention.n} discharged. ${w.caseloadInShort({ phases, change, log })}`)
/* md
## Who needs us
*/
show(w.todayNotice(attention))
show(filters(about.dimensions))
show(entries('', w.attentionEntries(attention, about), 3, w.ATTENTION_GROUPS))
show(folded('How many clients have each reason', figures(w.attentionCounts(attention))))
for (const warning of loaded.warnings) show(notice('caution', 'About the files', warning))

// %% At a glance
/* md
## The caseload at a glance
*/
const glance = (
  headlines: readonly w.Figure[],
  some: readonly w.SeriesStatus[],
  weeks: readonly w.WeekAdherence[],
) => [figures(headlines), grid(w.statusByReflexChart(some), w.adherenceByWeekChart(weeks))]
show(
  variants(
    glance(w.caseloadHeadlines({ change, log, reactions: harms }), statuses.series, log.calendarWeeks),
    w
      .caseloadParts(about, { statuses, log, change })
      .map((p) => ({ part: p.part, show: glance(p.headlines, p.series, p.weeks) })),
  ),
)
show(w.differenceSentence(statuses.difference))

// %% Before and after
/* md
## Before and after
*/
show(notice('caution', 'No comparison group', w.UNCONTROLLED))
const headline = change.horizons[change.headline]
show(grid(w.beforeAndAfterOf(headline), w.startToLatestOf(headline)))
show(
  table(w.changeRows(headline.byReflex), {
    caption: `By reflex, ${headline.horizon.label}; points of a 0 to 4 scale`,
    columns: w.CHANGE_COLUMNS,
    facets: (row) => ({ [w.FILTER_NAMES.reflex]: String(row.what) }),
  }),
)
for (const [title, rows] of w.furtherChanges(headline))
  show(folded(title, table(w.changeRows(rows), { columns: w.CHANGE_COLUMNS })))
for (const other of [change.horizons.weeks26, change.horizons.latest])
  show(
    folded(`At ${other.horizon.label}`, table(w.changeRows(other.byReflex), { columns: w.CHANGE_COLUMNS })),
  )

// %% Courses
/* md
## Courses over time
*/
show(notice('plain', 'Growing up, or more than that?', w.phaseWords(phases)))
show(
  grid(
    w.coursesOf(series, w.caseloadTrajectory(records, { asOf })),
    w.timeToIntegrationOf(w.timeToIntegration(records, { asOf, seed })),
  ),
)

// %% What was done
/* md
## Dose and harms
*/
const dose = w.doseResponse(records, { asOf })
show(grid(w.doseAndResponseOf(dose), w.reactionsOf(harms)))
show(dose.words)
show(
  table(w.flaggedRatios(log), {
    caption: 'Left against right: beyond 25 % of what is prescribed, last 28 days of the programme',
    columns: w.RATIO_COLUMNS,
    facets: ({ client, target }) => about.ofSeries((client as { text: string }).text, String(target)),
  }),
)
show(entries('Known already: older events of clients in care', w.knownEntries(safety, about), 4))

// %% Raters and clinicians
/* md
## Agreement and variation
*/
const byWhom = (['clinician', 'site'] as const).map((by) =>
  w.funnelOf(w.improvementFunnel(records, { asOf, by })),
)
show(grid(w.agreementOfRaters(series, w.raterAgreement(records, { asOf })), ...byWhom))

// %% Who is counted
/* md
## Who is counted
*/
show(
  grid(
    w.flowChart(w.clientFlow(records, { asOf }).stages),
    table(w.exclusionRows(headline), { caption: `Series in the figures at ${headline.horizon.label}` }),
  ),
)
show(
  folded(
    'Every series and where it stands',
    table(w.statusRows(statuses), {
      caption: 'Series',
      id: 'id',
      facets: (row) => about.ofSeries(String(row.client), String(row.reflex)),
      columns: ['client', 'reflex', 'side', 'status', 'first', 'latest', 'occasions', 'age', 'note'],
    }),
  ),
)

// %% What was read
/* md
## What was read
*/
show(w.readingSentence(loaded.ledger))
show(table(w.problemRows(loaded.ledger), { caption: 'Problems by rule' }))
show(folded('Every file', table(w.fileRows(loaded.ledger), { caption: 'Files' })))

// %% Cautions
/* md
## With care
*/
show(notice('caution', 'What these figures cannot show', w.PAGE_CAUTIONS))
show(folded('Words used on this page', w.glossaryMarkdown()))
