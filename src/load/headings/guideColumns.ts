import type {
  ColumnDetail,
  ColumnRule,
  TableRules,
  WideExercise,
  WideMeasure,
  WideRules,
} from '../guide/guide.ts'
import { acrossColumn, plainHeading } from './acrossColumns.ts'
import { headingPhrase } from './recognise.ts'
import { SIDE_WORDS, UNIT_WORDS } from './words.ts'

/**
 * What the guide says about each heading of a table: by its `columns`, else as a wide heading, else null. The nth column
 * of one heading takes the nth rule of a list.
 */
export function guideColumns(headings: readonly string[], rules: TableRules): (GuideColumn | null)[] {
  const named = new Map<string, { readonly rank: number; readonly rules: readonly ColumnRule[] }>()
  Object.entries(rules.columns ?? {}).forEach(([heading, rule], rank) => {
    named.set(plainHeading(heading), { rank, rules: Array.isArray(rule) ? rule : [rule as ColumnRule] })
  })
  const seen = new Map<string, number>()
  return headings.map((heading) => {
    const turned = acrossColumn(heading, rules)
    if (turned !== null) return turned
    const key = plainHeading(heading)
    const nth = seen.get(key) ?? 0
    seen.set(key, nth + 1)
    const entry = named.get(key)
    const rule = entry?.rules.length === 1 && nth === 0 ? entry.rules[0] : entry?.rules[nth]
    if (entry !== undefined && rule !== undefined)
      return { ...(typeof rule === 'string' ? { field: rule } : rule), rank: entry.rank }
    return wideColumn(heading, rules)
  })
}

/** A column as the guide has it; `rank` orders several columns of one field. */
export interface GuideColumn extends ColumnDetail {
  readonly rank: number
  /** Made from a wide heading: a filled cell says that the exercise was done. */
  readonly wide?: true
}

const EVERYDAY_MEASURES: Readonly<Record<string, WideMeasure>> = {
  reps: 'reps',
  rep: 'reps',
  repetitions: 'reps',
  times: 'reps',
  count: 'reps',
  strokes: 'reps',
  ...(Object.fromEntries(Object.entries(UNIT_WORDS)) as Record<string, WideMeasure>),
  intensity: 'intensity',
  level: 'intensity',
  setting: 'intensity',
  score: 'score',
  grade: 'score',
}

function wideColumn(heading: string, rules: TableRules): GuideColumn | null {
  const { wide } = rules
  if (wide === undefined) return null
  const plain = wide.plain_number ?? (rules.holds === 'assessments' ? 'score' : 'reps')
  const tokens = headingPhrase(heading).split(' ')
  const { measures, sides, exercises } = wideWords(wide)
  for (const [exercise, rule] of exercises) {
    for (const rest of without(tokens, exercise)) {
      const detail = typeof rule === 'string' ? { target: rule } : rule
      for (const { side, left } of sideOf(rest, sides)) {
        const measure = left === '' ? plain : measures.get(left)
        if (measure === undefined) continue
        const side2 = side ?? detail.side
        return {
          ...detail,
          ...(side2 === undefined ? {} : { side: side2 }),
          field: measure,
          rank: 0,
          wide: true,
        }
      }
    }
  }
  return null
}

/** The words of a wide heading as they are looked up, made once for each guide: they are asked for at every heading. */
interface WideWords {
  readonly measures: ReadonlyMap<string, WideMeasure>
  readonly sides: readonly (readonly [string, string])[]
  readonly exercises: readonly (readonly [string, string | WideExercise])[]
}
const KNOWN_WORDS = new WeakMap<WideRules, WideWords>()

function wideWords(wide: WideRules): WideWords {
  let words = KNOWN_WORDS.get(wide)
  if (words === undefined) {
    words = {
      measures: phrases({ ...EVERYDAY_MEASURES, ...wide.measures }),
      sides: longestFirst(phrases({ ...SIDE_WORDS, ...wide.sides })),
      exercises: longestFirst(phrases(wide.exercises)),
    }
    KNOWN_WORDS.set(wide, words)
  }
  return words
}

const phrases = <T>(words: Readonly<Record<string, T>>): Map<string, T> =>
  new Map(Object.entries(words).map(([word, value]) => [headingPhrase(word), value]))

const longestFirst = <T>(map: Map<string, T>): [string, T][] =>
  [...map].sort((a, b) => b[0].length - a[0].length)

/** The tokens without the phrase, for each place where it stands. */
function* without(tokens: readonly string[], phrase: string): Generator<string[]> {
  const words = phrase.split(' ')
  for (let at = 0; at + words.length <= tokens.length; at++)
    if (words.every((word, i) => tokens[at + i] === word))
      yield [...tokens.slice(0, at), ...tokens.slice(at + words.length)]
}

function* sideOf(
  tokens: readonly string[],
  sides: WideWords['sides'],
): Generator<{ side: string | undefined; left: string }> {
  for (const [word, side] of sides)
    for (const rest of without(tokens, word)) yield { side, left: rest.join(' ') }
  yield { side: undefined, left: tokens.join(' ') }
}
