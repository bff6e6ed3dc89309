/**
 * The parts of a case report in the order of the CARE guideline (Gagnier et al. 2013, J Clin Epidemiol 67:46–51, the
 * checklist's headings), and what only the clinician can say in each.
 */
export const CARE_PARTS = [
  { part: 'patient', title: 'Patient', ask: 'main concerns, history, what was tried before' },
  { part: 'findings', title: 'Clinical findings', ask: 'the physical examination and what stood out' },
  {
    part: 'timeline',
    title: 'Timeline',
    ask: 'events that are in no record: illness, growth spurts, a move',
  },
  {
    part: 'assessment',
    title: 'Assessment',
    ask: 'how the diagnosis was reached, what else was considered, prognosis',
  },
  { part: 'intervention', title: 'Intervention', ask: 'why this programme, and why it was changed' },
  {
    part: 'outcomes',
    title: 'Outcomes and harms',
    ask: "the clinician's and the family's own assessment; adverse events that are in no log",
  },
  {
    part: 'discussion',
    title: 'Discussion',
    ask: 'strengths and limits, the literature, what may be concluded and what not',
  },
  {
    part: 'perspective',
    title: "Patient's perspective",
    ask: 'how the client or family saw it, in their words',
  },
  {
    part: 'consent',
    title: 'Consent',
    ask: 'whether informed consent to this presentation was given, by whom and when',
  },
] as const
export type CarePart = (typeof CARE_PARTS)[number]['part']

/** What the clinician wrote, by part. Headings are matched by their first word or the part's title, in any case. */
export function caseWords(markdown: string): {
  readonly words: Readonly<Partial<Record<CarePart, string>>>
  /** Headings that are no part of a case report. */
  readonly unknown: readonly string[]
} {
  const words: Partial<Record<CarePart, string>> = {}
  const unknown: string[] = []
  const sections = `\n${markdown.replace(/\r\n?/g, '\n')}`.split(/\n##?\s+/).slice(1)
  for (const section of sections) {
    const [heading = '', ...lines] = section.split('\n')
    const plain = heading.trim().toLowerCase().replace(/[’]/g, "'")
    const found = CARE_PARTS.find(
      ({ part, title }) => plain === part || plain === title.toLowerCase() || plain.startsWith(`${part} `),
    )
    if (found) words[found.part] = lines.join('\n').trim()
    else unknown.push(heading.trim())
  }
  return { words, unknown }
}

/** What stands in a part: the clinician's words, or that they are missing and what is asked for. */
export function partMarkdown(part: CarePart, words: Readonly<Partial<Record<CarePart, string>>>): string {
  const { ask } = CARE_PARTS.find((p) => p.part === part)!
  const said = words[part]
  return said ? said : `*For the clinician to say, not yet said: ${ask}.*`
}
