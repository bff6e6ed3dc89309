/** What every page says (see the measures' definitions): first what the figures cannot show, then who decides. */
export const PAGE_CAUTIONS = `Uncontrolled before-and-after figures do not show that a programme caused a change: children outgrow reflexes, strong scores drift to the mean, and families who leave are not seen again. Evidence for these programmes is limited.

The figures support, and never replace, the judgement of licensed clinicians. Local rules and device instructions come first. This page names what was recorded and who should look; it never says to start, stop or change treatment.`

/** One line of the same, for beside the figures that need it. */
export const UNCONTROLLED =
  'Uncontrolled: children outgrow reflexes and strong scores drift to the mean, so a change here is no proof of an effect.'

/** Words that a reader may want explained, as Markdown. */
export const GLOSSARY: readonly (readonly [string, string])[] = [
  ['series', 'one client, one reflex, one side'],
  ['occasion', 'a day on which a series was scored; where two people scored, their mean'],
  ['severity', 'score ÷ top of the scale: 0 is absent, 1 the strongest response'],
  ['smallest reliable difference', 'the change that measuring error alone exceeds once in twenty'],
  ['past its usual age', 'older than the latest upper age that any source gives for the reflex'],
  ['integrated', 'absent on every occasion over 28 days or more, after it was there'],
  ['returned', 'integrated once, and there again at the last occasion'],
  ['wavering', 'absent once without confirmation, and there again'],
  ['line-day', 'one prescribed line on one day on which it runs'],
  ['dose fraction', 'delivered ÷ prescribed on a day, at most 1: overdoing one day never pays for another'],
  ['as logged', 'days without a diary count as not done; "logged days only" leaves them out'],
  ["Hedges' g", 'mean change ÷ its standard deviation, corrected for small numbers'],
  ['95 % interval', 'the values that the data do not rule out at the usual level'],
]

export const glossaryMarkdown = (): string =>
  GLOSSARY.map(([word, means]) => `- **${word}**: ${means}`).join('\n')
