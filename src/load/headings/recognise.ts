import type { DateOrder, Unit } from '../guide/guide.ts'
import {
  HEADING_WORDS,
  LENGTH_WORDS,
  type Meaning,
  PER_SESSION,
  PERSONAL_WORDS,
  SIDE_WORDS,
  TIME_TAKEN,
  UNIT_WORDS,
} from './words.ts'

/** What a heading says by its everyday words. */
export interface Recognised {
  readonly meaning: Meaning | 'seconds' | 'seconds_per_session' | 'bare_side' | 'personal'
  /** Unit of a session's length; null where the heading leaves it open. */
  readonly unit?: Unit | null
  /** Top of the scale, from `Score (0-4)`. */
  readonly scale?: number
  /** Paired columns: `Score left`. */
  readonly side?: string
  /** The side is one letter: `L`. */
  readonly letter?: true
  /** Order of day and month, from `Date (dd/mm/yyyy)`. */
  readonly order?: DateOrder
}

const BY_PHRASE = new Map<string, Recognised>()
for (const [meaning, phrases] of Object.entries(HEADING_WORDS) as [Meaning, readonly string[]][])
  for (const phrase of phrases) BY_PHRASE.set(phrase, { meaning })
for (const phrase of PERSONAL_WORDS) BY_PHRASE.set(phrase, { meaning: 'personal' })

/** Words that change nothing: `date of the assessment` is the assessment date. */
const FILLERS: ReadonlySet<string> = new Set(['of', 'the', 'for', 'in', 'was', 'were', 'is'])

const wordsOf = (phrase: string): string =>
  phrase
    .split(' ')
    .filter((word) => !FILLERS.has(word))
    .sort()
    .join(' ')

/** The phrases whatever the order of their words, where no two meanings share them. */
const BY_WORDS = new Map<string, Recognised>()
for (const [phrase, recognised] of BY_PHRASE) {
  const words = wordsOf(phrase)
  const known = BY_WORDS.get(words)
  if (!words.includes(' ')) continue
  BY_WORDS.set(
    words,
    known === undefined || known.meaning === recognised.meaning ? recognised : { meaning: 'personal' },
  )
}

/** Lower case, letters and digits only, single spaces; `clientId`, `client_id` and `Client ID` become one. */
export const headingPhrase = (heading: string): string =>
  heading
    .normalize('NFKC')
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .toLowerCase()
    .replace(/['’]s\b/g, '')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()

/** What an everyday heading means, or null where nobody could be sure. For nested JSON the last part may say it. */
export function recogniseHeading(heading: string): Recognised | null {
  if (heading.length > LONGEST_HEADING) return null
  let found = RECOGNISED.get(heading)
  if (found === undefined) {
    found = recognisedAnew(heading)
    if (RECOGNISED.size >= HEADINGS_REMEMBERED) RECOGNISED.clear()
    RECOGNISED.set(heading, found)
  }
  return found
}

/** Every cell of the first rows is asked for several times, while it is sought which row holds the headings. */
const RECOGNISED = new Map<string, Recognised | null>()
const HEADINGS_REMEMBERED = 5000
/** A longer text is no everyday heading. */
const LONGEST_HEADING = 200

function recognisedAnew(heading: string): Recognised | null {
  const order = writtenOrder(heading)
  const found = recogniseText(heading)
  if (found === null) return null
  // `Duration (h:mm)`: without its hours the clock's two parts would be minutes and seconds.
  if (found.unit === null && /\bh{1,2}:mm\b(?!:ss)/i.test(heading)) return { ...found, unit: 'h:mm' }
  return order === null ? found : { ...found, order }
}

function recogniseText(heading: string): Recognised | null {
  const whole = recognisePhrase(headingPhrase(heading))
  if (whole !== null) return heading.includes('%') ? inPercent(whole) : whole
  const over = scoreOverScale(heading)
  if (over !== null) return over
  const explained = explainedScale(heading)
  if (explained !== null) return explained
  if (/^\s*[lr]\s*$/i.test(heading))
    return { meaning: 'bare_side', side: SIDE_WORDS[headingPhrase(heading)] as string, letter: true }
  // What stands in brackets explains (`Sex (M/F)`), unless it was understood as part of the whole.
  const bare = heading.replace(/\([^)]*\)|\[[^\]]*\]/g, ' ')
  const outside = bare === heading ? null : recognisePhrase(headingPhrase(bare))
  if (outside !== null) return changesTheMeaning(outside.meaning, heading) ? null : outside
  return heading.includes('.') ? recognisePhrase(headingPhrase(heading.split('.').at(-1) as string)) : null
}

function recognisePhrase(phrase: string): Recognised | null {
  return (
    BY_PHRASE.get(phrase) ??
    lengthOf(phrase) ??
    scoreWithScale(phrase) ??
    paired(phrase) ??
    BY_WORDS.get(wordsOf(phrase)) ??
    null
  )
}

/** `Date (dd/mm/yyyy)`: the heading says the order itself. */
function writtenOrder(heading: string): DateOrder | null {
  if (/\bd{1,2}\W?m{1,3}\W?y{2,4}\b/i.test(heading)) return 'day-month-year'
  if (/\bm{1,3}\W?d{1,2}\W?y{2,4}\b/i.test(heading)) return 'month-day-year'
  if (/\by{2,4}\W?m{1,3}\W?d{1,2}\b/i.test(heading)) return 'year-month-day'
  return null
}

function lengthOf(phrase: string): Recognised | null {
  const per = PER_SESSION.find((words) => ` ${phrase} `.includes(` ${words} `))
  const rest = per === undefined ? phrase : ` ${phrase} `.replace(` ${per} `, ' ').trim()
  const meaning = per === undefined ? 'seconds' : 'seconds_per_session'
  const bare = UNIT_WORDS[rest]
  // `Hour` alone may as well be the time of day.
  if (bare !== undefined && rest.length > 1 && rest !== 'hour') return { meaning, unit: bare }
  const slashed = UNIT_WORDS[/^(\S{2,}) session$/.exec(rest)?.[1] ?? '']
  if (slashed !== undefined) return { meaning: 'seconds_per_session', unit: slashed }
  if (LENGTH_PHRASES.has(wordsOf(phrase))) return { meaning: 'seconds', unit: null }
  if (LENGTH_PHRASES.has(wordsOf(rest))) return { meaning, unit: null }
  const match = /^(.+?) (?:in )?(\S+)$/.exec(rest)
  const unit = match === null ? undefined : UNIT_WORDS[match[2] as string]
  if (unit !== undefined && isLength(match?.[1] as string, unit)) return { meaning, unit }
  const before = /^(\S+) (?:of )?(.+)$/.exec(rest)
  const first = before === null ? undefined : UNIT_WORDS[before[1] as string]
  if (first !== undefined && DONE_WITH.has(before?.[2] as string)) return { meaning, unit: first }
  return null
}

const DONE_WITH: ReadonlySet<string> = new Set([
  'done',
  'spent',
  'exercise',
  'exercised',
  'held',
  'worked',
  'practised',
  'of exercise',
  'of stimulation',
])

const LENGTH_PHRASES: ReadonlySet<string> = new Set(LENGTH_WORDS.map(wordsOf))

/** Whether words beside a unit speak of a length; `time` does with seconds or minutes, not with h (`Time (h)`). */
const isLength = (phrase: string, unit: Unit): boolean =>
  LENGTH_PHRASES.has(wordsOf(phrase)) || (unit !== 'hours' && TIME_TAKEN.includes(phrase))

function scoreWithScale(phrase: string): Recognised | null {
  const match =
    /^(.+?) (?:(?:from |on )?(?:a |the )?(?:scale )?(?:of )?0 (?:to )?|out of |of |max )(\d{1,3})(?: scale| points)?$/.exec(
      phrase,
    )
  if (match === null || !isScored(match[1] as string)) return null
  const scale = Number(match[2])
  return scale > 0 ? { meaning: 'score', scale } : null
}

/** Words for a score, some of which say it only with a scale beside them. */
const isScored = (phrase: string): boolean =>
  BY_PHRASE.get(phrase)?.meaning === 'score' || SCORED_ON_A_SCALE.has(phrase)
const SCORED_ON_A_SCALE: ReadonlySet<string> = new Set(['response', 'retention', 'strength'])

/** `Score /4`, `Score (/4)`: without its stroke it might be the fourth of several. */
function scoreOverScale(heading: string): Recognised | null {
  const match = /^(.*?)[\s([]*\/\s*(\d{1,3})[\s)\]]*$/.exec(heading)
  const found = match === null ? null : recognisePhrase(headingPhrase(match[1] as string))
  return found?.meaning === 'score' ? { ...found, scale: Number(match?.[2]) } : null
}

const ABSENT = '(?:absent|none|nil|integrated|no (?:response|reflex|reaction))'
const STRONGEST =
  '(?:strong(?:est)?|very strong|max(?:imum)?|full|fully (?:present|retained)|retained|marked|severe)'
const SCALE_EXPLAINED = [
  new RegExp(
    `^0 *(?:[-–—]|to) *(\\d{1,3})(?: *[,;:] *(?:0 *= *${ABSENT})?(?:[ ,;]*\\1 *= *${STRONGEST}\\b.*)?)?$`,
    'i',
  ),
  new RegExp(`^0 *= *${ABSENT}\\b.*?\\b(\\d{1,3}) *= *${STRONGEST}\\b[^\\d=]*$`, 'i'),
]

/** A score in per cent is out of 100; of other figures it says that they are no count. */
function inPercent(found: Recognised): Recognised | null {
  if (found.meaning === 'score') return { ...found, scale: found.scale ?? 100 }
  return COUNTED.has(found.meaning) ? null : found
}

/** `Score (0 = absent, 4 = strongest)`: brackets that tell the whole scale. */
function explainedScale(heading: string): Recognised | null {
  const match = /^([^([]+)[([]([^)\]]+)[)\]]\s*$/.exec(heading)
  if (match === null || recognisePhrase(headingPhrase(match[1] as string))?.meaning !== 'score') return null
  const told = (match[2] as string).trim()
  const top = SCALE_EXPLAINED.map((form) => form.exec(told)?.[1]).find((found) => found !== undefined)
  return Number(top) > 0 ? { meaning: 'score', scale: Number(top) } : null
}

/**
 * Whether what stands in brackets makes the column mean something else, which nobody can be sure of: a scale that does
 * not begin at 0 or runs the other way (`Score (1-5)`, `Score (4 = absent)`), figures of another size (`Reps (x10)`), a date
 * of something else (`Date (entered)`), a side of something else (`Side (writing hand)`).
 */
function changesTheMeaning(meaning: Recognised['meaning'], heading: string): boolean {
  const brackets = (heading.match(/\([^)]*\)|\[[^\]]*\]/g) ?? []).join(' ')
  if (meaning === 'score')
    return /[\d%=]|\b(?:revers|invert|lower|higher|better|worse|improve|change)/i.test(brackets)
  const words = headingPhrase(brackets)
    .split(' ')
    .filter((word) => !SAYS_NOTHING.has(word))
  if (DATED.has(meaning)) return !words.every((word) => DATE_FORM.test(word) || DATE_EXPLAINED.has(word))
  if (meaning === 'side') return !words.every((word) => SIDES_EXPLAINED.has(word))
  return COUNTED.has(meaning) && /\d *[x×*]|[x×*] *\d|%|\b(?:week|month|hour)/i.test(brackets)
}
const DATED: ReadonlySet<string> = new Set([
  'date',
  'done_on',
  'assessed_on',
  'starts_on',
  'ends_on',
  'birth_date',
  'enrolled_on',
  'discharged_on',
])
const SAYS_NOTHING: ReadonlySet<string> = new Set(
  'of or and the a if not known required optional mandatory applicable blank text e g eg as in'.split(' '),
)
/** `dd`, `mm`, `yyyy`, `hh`, `ddmmyyyy`, numbers of an example. */
const DATE_FORM = /^(?:[dmyhs]+|[tj]+|\d+|am|pm)$/
const DATE_EXPLAINED: ReadonlySet<string> = new Set(
  'iso day month year first last local time utc gmt date format written done session assessment visit exam examination practice exercise programme plan'.split(
    ' ',
  ),
)
const SIDES_EXPLAINED: ReadonlySet<string> = new Set(
  'l r m b n left right mid middle midline both bilateral body lr none side sides lt rt'.split(' '),
)
const COUNTED: ReadonlySet<string> = new Set(['reps', 'reps_per_session', 'sessions_per_day'])

function paired(phrase: string): Recognised | null {
  const bare = SIDE_WORDS[phrase]
  if (bare !== undefined && phrase.length > 2) return { meaning: 'bare_side', side: bare }
  const tokens = phrase.split(' ')
  for (const at of [0, tokens.length - 1]) {
    const side = SIDE_WORDS[tokens[at] as string]
    if (side === undefined || tokens.length < 2) continue
    const rest = tokens.filter((_, i) => i !== at).join(' ')
    const found = BY_PHRASE.get(rest) ?? lengthOf(rest) ?? scoreWithScale(rest)
    if (found !== null && PAIRED_MEANINGS.has(found.meaning)) return { ...found, side }
  }
  return null
}

const PAIRED_MEANINGS: ReadonlySet<string> = new Set(['score', 'reps', 'seconds', 'intensity'])
