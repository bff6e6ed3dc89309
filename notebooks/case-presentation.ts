import * as w from 'waneline'
import { z } from 'zod'

const { entries, figures, folded, grid, notice, show, table } = w

const {
  data,
  asOf: day,
  guide,
  client,
  words: file,
  masked,
  label,
} = w.parameters({
  ...w.folderParameters,
  client: z.string().describe('code of the client to present'),
  words: z.string().optional().describe("Markdown file with the clinician's words, a ## heading a part"),
  masked: z
    .boolean()
    .default(false)
    .describe('no code, date or place: a label, an age band, days from the start'),
  label: z.string().default('Case 1').describe('what the client is called where masked'),
})
const { records, asOf, notRead } = await w.loadFolder(data, { asOf: day, guide })
const unread = w.unreadCount({ notRead })
const one = w.clientCase(records, client, { asOf })
const { words, unknown } = w.caseWords(file === undefined ? '' : w.readText(file))
const telling = w.tellingOf(one, masked, label)
if (masked) w.withhold(w.identifyingTexts(records, one))
const part = (name: w.CarePart): void => show(w.partMarkdown(name, words))

show(`# ${telling.label}: a case presentation

${masked ? 'Masked: days are counted from the start of the programme.' : `As of ${w.dayWords(asOf)}.`} In the order of the CARE case-report guideline (2013).`)
if (unread !== null) show(notice('caution', 'About the files', unread))
for (const heading of unknown)
  show(
    notice(
      'caution',
      'A heading that is no part of a case report',
      `"${heading}" in the words file was not used.`,
    ),
  )

// %% In short
/* md
## In short
*/
const safety = w.caseSafety(one, telling)
if (safety.length > 0) show(entries('What a licensed clinician should look at, and what is known', safety))
show(figures(w.caseFigures(one)))

// %% Patient
/* md
## Patient
*/
show(
  table(w.patientRows(one, telling), {
    caption: 'On record',
    columns: [
      { field: 'what', label: 'What' },
      { field: 'is', label: 'On record' },
    ],
  }),
)
part('patient')

// %% Findings
/* md
## Clinical findings
*/
show(table(w.findingRows(one, telling), { caption: 'Every reflex and side' }))
show(w.caseDifference(one))
part('findings')

// %% Timeline
/* md
## Timeline
*/
show(w.timelineOf(one, telling.from))
part('timeline')

// %% Assessment
/* md
## Assessment
*/
show(w.sidesOf(one, telling.from))
part('assessment')

// %% Intervention
/* md
## Intervention
### As prescribed
*/
show(table(w.prescribedRows(one, telling), { caption: 'Programme lines' }))
/* md
### As done
*/
show(grid(w.calendarOf(one, telling.from), w.deliveredOfClient(one)))
show(table(w.doneRows(one), { caption: 'Both readings of days without a diary' }))
part('intervention')

// %% Outcomes
/* md
## Outcomes and harms
*/
show(notice('caution', 'One client', w.UNCONTROLLED))
show(grid(...one.changes.map(({ status }) => w.seriesCourseOf(status, telling.from))))
show(
  table(w.casePhaseRows(one), {
    caption:
      'Before and after the start: in what share of pairs is the later score lower? (1: in all; 0.5: chance; non-overlap of all pairs)',
  }),
)
const reasons = w.casePhaseReasons(one)
if (reasons) show(reasons)
part('outcomes')

// %% Discussion
/* md
## Discussion
*/
show(notice('caution', 'What these figures cannot show', w.PAGE_CAUTIONS))
part('discussion')

// %% Perspective
/* md
## Patient's perspective
*/
part('perspective')

// %% Consent
/* md
## Consent
*/
part('consent')
show(folded('Words used on this page', w.glossaryMarkdown()))
