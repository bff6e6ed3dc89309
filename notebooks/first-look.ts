import * as w from 'waneline'

/* md
# A first look

Ten minutes with the toolkit. This page is a TypeScript file that was run from the top: prose stands in comments, `// %%`
begins a cell, and `show` puts a value on the page. Unfold the code under each part and read along.
*/

// %% Parameters
/* md
## 1. Say what can be set

`parameters` declares what the command line may set: `--data`, `--as-of`, and a reading guide. Every figure is reckoned
for one day, the as-of day; no clock is asked.
*/
const { data, asOf: day, guide } = w.parameters(w.folderParameters)

// %% Read
/* md
## 2. Read the exports

`loadFolder` turns raw files into five tables. Every record it read was kept or rejected with a reason: nothing is lost or
guessed.
*/
const { records, asOf, ledger, warnings } = await w.loadFolder(data, { asOf: day, guide })
w.show(w.readingSentence(ledger))
for (const warning of warnings) w.show(w.notice('caution', 'About the files', warning))
w.show(w.table(w.problemRows(ledger), { caption: 'Problems, by rule' }))

// %% Rows
/* md
## 3. Look at records

Clients, assessments and programme lines are arrays of plain objects: TypeScript is all it takes. Here, assessments by
reflex.
*/
const counts = new Map<string, number>()
for (const { reflex } of records.assessments) counts.set(reflex, (counts.get(reflex) ?? 0) + 1)
const byReflex = [...counts].map(([reflex, assessments]) => ({ reflex, assessments }))
w.show(w.table(byReflex, { caption: 'Assessments' }))

// %% Ask
/* md
## 4. Ask a question

A measure takes records and gives a plain result: its figures, whom it left out and why. Is each reflex weaker twelve
weeks after its programme began?
*/
const change = w.beforeAndAfter(records, { asOf })
const headline = change.horizons[change.headline]
w.show(
  w.table(w.changeRows(headline.byReflex), { caption: headline.horizon.label, columns: w.CHANGE_COLUMNS }),
)
w.show(w.notice('caution', 'No comparison group', w.UNCONTROLLED))

// %% Draw
/* md
## 5. Draw it

A chart takes what a measure gave. Under it stand how to read it and the table it was drawn from.
*/
w.show(w.beforeAndAfterOf(headline))

// %% Part
/* md
## 6. Take a part

`siteParts` splits the records, and the same functions take the part. Loops may show, too.
*/
for (const [site, some] of w.siteParts(records)) {
  const { series } = w.seriesStatuses(some, { asOf })
  w.show(w.folded(`${site}: ${series.length} series`, w.statusByReflexChart(series)))
}

// %% Next
/* md
## 7. Write your own

`waneline new my-question` writes a small notebook that works; `waneline watch my-question.ts` shows its page while you
write. The functions are listed in `notebooks/guides/api.md`.
*/
w.show(w.notice('caution', 'What these figures cannot show', w.PAGE_CAUTIONS))
w.show(w.folded('Words used on this page', w.glossaryMarkdown()))
