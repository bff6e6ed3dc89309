import * as w from 'waneline'
import { z } from 'zod'

const { figures, folded, notice, show, table } = w

const {
  data,
  asOf: day,
  guide,
  k,
  l,
} = w.parameters({
  ...w.folderParameters,
  k: z.number().int().min(1).default(5).describe('smallest group of people alike'),
  l: z.number().int().min(1).default(2).describe('fewest starting severities in a group'),
})
const { records, asOf, notRead } = await w.loadFolder(data, { asOf: day, guide })
const unread = w.unreadCount({ notRead })
// A fresh secret: the page shows no pseudonym, so nothing on it depends on this one.
const { tables, files, risk } = w.makeRelease(records, { asOf, secret: w.newSecret(), k, l })

show(`# Anonymised tables, ${w.dayWords(asOf)}

What would leave the clinic, and at what risk. Nothing is released by this page: \`waneline release\` does that, and the guide
for researchers takes it step by step.`)

// %% At a glance
/* md
## At a glance
*/
show(notice('caution', 'Who decides', w.RELEASE_STATEMENT))
if (unread !== null) show(notice('caution', 'About the files', unread))
show(
  figures([
    {
      label: 'People released',
      value: `${risk.people.released}`,
      note: `of ${risk.people.consenting} who consented`,
    },
    {
      label: 'Smallest group',
      value: `${risk.k.reached}`,
      note: `people alike in every column; asked: ${risk.k.asked}`,
    },
    {
      label: 'Starting severities',
      value: `${risk.l.reached}`,
      note: `fewest in a group; asked: ${risk.l.asked}`,
    },
    {
      label: 'Found by two known visits',
      value: `${Math.round(100 * risk.longitudinal.released.twoVisitRiskMean)}\u00a0%`,
      note: 'chance on average, for whoever also knows age, sex, group and site',
    },
  ]),
)

// %% What leaves
/* md
## What leaves
*/
for (const { definition, rows } of tables)
  show(
    folded(
      `${definition.name}: ${definition.title.toLowerCase()}, ${rows.length} rows`,
      definition.description,
      table(
        definition.fields.map(({ name, type, description }) => ({ column: name, type, holds: description })),
      ),
    ),
  )
show(
  table(
    files.map((f) => ({ file: f.name })),
    { caption: 'Files' },
  ),
)

// %% Risk
/* md
## The risk report
*/
show(
  w
    .riskMarkdown(risk)
    .replace(/^# .*\n/, '')
    .replaceAll('\n## ', '\n### '),
)
