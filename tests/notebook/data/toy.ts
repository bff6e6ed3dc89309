/* md
# A toy notebook

It shows one of everything, on invented figures.
*/
import {
  adherenceByWeekChart,
  choice,
  entries,
  figure,
  figures,
  folded,
  grid,
  notice,
  parameters,
  recordInput,
  show,
  table,
  z,
} from 'waneline'

// %% Parameters
const { clinic, weeks, quiet } = parameters({
  clinic: z.string().default('Saltmarsh').describe('name of the clinic'),
  weeks: z.number().int().min(1).max(52).default(12).describe('weeks to show'),
  quiet: z.boolean().default(false).describe('leave the notices out'),
})
recordInput({ file: 'heron/scores.csv', sha256: 'ab'.repeat(32), bytes: 1234, records: 56 })

// %% First screen
/* md
## Who needs us

The most urgent first.
*/
if (!quiet) show(notice('urgent', 'Two need a person today', `At ${clinic}, two families were named.`))
show(
  figures([
    { label: 'Clients', value: '63', note: '58 with a running programme' },
    { label: 'Share of days in full', value: '54 %', interval: '49 to 59 %', note: '4 012 line-days' },
    { label: 'Reliably improved or integrated', value: '41 %', interval: '33 to 50 %' },
  ]),
)
show(
  entries('Attention', [
    { title: 'SM-007', lead: 'Colour reaction on 3 March 2026', tone: 'urgent', lines: ['moro, touch'], id: 'sm-007' },
    { title: 'SM-012', lead: 'No assessment for 49 days', tone: 'caution' },
  ]),
)

// %% Charts
/* md
## How the caseload does
*/
const series = Array.from({ length: weeks }, (_, i) => ({
  monday: 20_454 + 7 * i,
  lines: 40 + (i % 4),
  doseFraction: { asLogged: 0.4 + 0.02 * ((i * 7) % 5), loggedDaysOnly: 0.6 + 0.02 * ((i * 7) % 5) },
}))
for (const part of [series, series.slice(4)]) show(adherenceByWeekChart(part))

// %% Tables
/* md
## Tables
*/
show(
  table(
    Array.from({ length: 30 }, (_, i) => ({
      client_id: `SM-${String(i).padStart(3, '0')}`,
      share: i / 30,
      score: i % 5,
      note: i % 7 ? '' : 'a longer note, with <b>markup</b> & "quotes"',
    })),
    {
      caption: 'Clients',
      columns: ['client_id', { field: 'share', format: 'percent' }, 'score', 'note'],
      id: 'client_id',
    },
  ),
)
show(grid(figure({ label: 'Left', value: '2.1' }), figure({ label: 'Right', value: '1.4' })))
show(folded('More', 'Some **more** words.'))
show(
  choice('Site', [
    { label: 'All', show: ['All sites together.'] },
    { label: 'Heron', show: ['Heron alone.'] },
  ]),
)
show(notice('caution', 'What this cannot show', 'Uncontrolled figures do not show a cause.'))
