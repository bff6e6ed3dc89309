/** A small notebook that works as it stands, in any folder. */
export const newNotebook = (title: string): string => `/* md
# ${title}

What this page is for, in a sentence. Text in comments that open with \`md\` is prose, in Markdown.
*/
import { figures, notice, parameters, show, table, z } from 'waneline'

// %% Parameters
const { goal } = parameters({
  goal: z.number().min(0).max(100).default(70).describe('share of days in full to aim for, in percent'),
})

// %% Figures
/* md
## What the diary says

A line that begins with \`// %%\` begins a cell. \`show\` puts what it is given on the page, where it is called.
*/
const weeks = [
  { week: 'first', days_in_full: 4, days: 7 },
  { week: 'second', days_in_full: 6, days: 7 },
  { week: 'third', days_in_full: 5, days: 7 },
]
const done = weeks.reduce((sum, w) => sum + w.days_in_full, 0)
const days = weeks.reduce((sum, w) => sum + w.days, 0)
const share = Math.round((100 * done) / days)
show(
  figures([
    { label: 'Days in full', value: \`\${share} %\`, note: \`\${done} of \${days} days\` },
    { label: 'Goal', value: \`\${goal} %\` },
  ]),
)
show(table(weeks, { caption: 'Week by week' }))

// %% Caution
show(notice('caution', 'Invented figures', 'Replace them: loadFolder(data, { asOf }) reads a folder of exports.'))
`
