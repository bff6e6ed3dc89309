import { headingPhrase } from '../headings/recognise.ts'
import { SIDE_WORDS, UNIT_WORDS } from '../headings/words.ts'
import { readTarget } from '../interpret/reflex.ts'
import { DECIDE, quoted } from './draftText.ts'
import type { ColumnDraft } from './suggestColumn.ts'

/** The exercise's words in a heading such as `Back R mins`, without those of a side or a measure; null where it has neither. */
function exerciseOf(heading: string): string | null {
  const words = headingPhrase(heading).split(' ')
  const left = words.filter(
    (word) => SIDE_WORDS[word] === undefined && UNIT_WORDS[word] === undefined && !MEASURES.has(word),
  )
  return left.length === words.length || left.length === 0 ? null : left.join(' ')
}

/** Exercises of a table that looks wide; none where it does not. */
export function exercisesOf(columns: readonly ColumnDraft[]): readonly string[] {
  const found = columns.flatMap(({ heading, known }) => (known === null ? (exerciseOf(heading) ?? []) : []))
  return found.length >= FEWEST_WIDE_COLUMNS ? [...new Set(found)] : []
}

export const exerciseIn = (heading: string, exercises: readonly string[]): string | null => {
  const exercise = exerciseOf(heading)
  return exercise !== null && exercises.includes(exercise) ? exercise : null
}

const FEWEST_WIDE_COLUMNS = 3
const MEASURES: ReadonlySet<string> = new Set([
  'reps',
  'strokes',
  'times',
  'count',
  'level',
  'setting',
  'score',
  'grade',
])

export function wideLines(exercises: readonly string[]): string[] {
  if (exercises.length === 0) return []
  return [
    `    # ${DECIDE}: headings look like one column for each exercise, side and measure. If so, say what each exercise is:`,
    '    # wide:',
    '    #   exercises:',
    ...exercises.map((exercise) => {
      const reading = readTarget(exercise)
      const target = 'value' in reading ? String(reading.value) : '?'
      return `    #     ${quoted(exercise)}: { target: ${target}, stimulus: ? }`
    }),
  ]
}
