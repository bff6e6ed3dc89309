import {
  type Adherence,
  type BeforeAndAfter,
  isComputed,
  type PhaseModel,
  type PhaseVerdict,
} from '../measures/index.ts'
import { sidesOff } from './headline.ts'

/** What the two models say of growing up, in so few words that it can stand at the head of a page. */
const BEYOND_GROWING_UP: Readonly<Record<PhaseVerdict, string>> = {
  'steeper fall after the start':
    'Scores fell faster after programmes began than before: an association, no proof.',
  'less steep fall after the start': 'Scores fell less fast after programmes began than before.',
  'no difference found': 'No fall beyond growing up was found.',
  'models disagree': 'Whether scores fell by more than growing up is not clear: two models disagree.',
  'cannot be told apart': 'Growing up and the programmes cannot be told apart in these records.',
  'not computed': 'Whether scores fell by more than growing up could not be worked out.',
}

const percent = (share: number): string => `${Math.round(100 * share)} %`

/**
 * The caseload's answers at the head of its page, before any figure: beyond growing up, beyond measuring error, dose, sides.
 * What cannot be said is left out here; the figures further down say why.
 */
export function caseloadInShort(parts: {
  readonly phases: Pick<PhaseModel, 'verdict'>
  readonly change: BeforeAndAfter
  readonly log: Adherence
}): string {
  const { improved } = parts.change.horizons[parts.change.headline].overall.byClient
  const { asLogged, loggedDaysOnly } = parts.log.caseload.doseFraction
  const sides = sidesOff(parts.log.sideRatios)
  return [
    BEYOND_GROWING_UP[parts.phases.verdict],
    ...(isComputed(improved) ? [`${percent(improved.estimate)} of series improved reliably.`] : []),
    ...(asLogged === null
      ? []
      : [`Dose: ${Math.round(100 * asLogged)} to ${percent(loggedDaysOnly ?? asLogged)}.`]),
    ...(sides.compared > 0 ? [`Sides not as prescribed: ${sides.off} of ${sides.compared} clients.`] : []),
  ].join(' ')
}

/** How the sentence of a measure ends that stands alone; beside the note on how to read it, it would be said twice. */
const ALONE = / An association:[^.]*\.$/

/** Whether scores fell by more than growing up, in full; what the two models say of each other only where they differ. */
export function phaseWords({ sentence, agreement, readingNote }: PhaseModel): string {
  const apart = isComputed(agreement) && !agreement.agree ? [agreement.sentence] : []
  return [sentence.replace(ALONE, ''), ...apart, readingNote].join(' ')
}
