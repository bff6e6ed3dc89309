import type { RiskReport } from './risk-report.ts'
import type { TimeUnit } from './time-units.ts'
import { counted, people as peopleCounted, percentWords } from './words.ts'

const percent = (share: number): string => percentWords(share, 1).replace(' %', '\u00a0%')
const isOrAre = (n: number): string => (n === 1 ? 'is' : 'are')
const figure = (x: number | null): string => (x === null ? 'none' : x.toFixed(3))

const UNIT_WORDS: Record<TimeUnit, string> = {
  day: 'the day itself leaves.',
  week: 'nobody can tell Monday from Friday.',
  month: 'nobody can tell the first of a month from its end.',
  quarter: 'three months are told as one.',
  half_year: 'six months are told as one.',
  before_or_after: 'only whether it was before the start or after it is told.',
}

/** Why a small clinic's times leave so coarse. */
const smallCaseload = (people: number): string =>
  people < 200
    ? `With ${peopleCounted(people)} there are few others to hide among, so times leave coarser than a large clinic's would; more consenting people make finer units possible.`
    : ''

/** The question of a data-protection officer, answered in one table: what can be found out, by whom, how likely. */
function atAGlance({ prosecutorRisk, longitudinal: time, raters, intersection }: RiskReport): string {
  const { released } = time
  const row = 'which row is theirs, and with it all their scores'
  return table(
    ['who holds the tables and knows', 'could find out', 'how likely'],
    [
      ['nothing else', 'no name: no code, date or note leaves', "not without the clinic's secret or records"],
      [
        'that somebody is in them, with age in months, sex, group and site',
        row,
        `**${percent(prosecutorRisk.mean)}** on average, ${percent(prosecutorRisk.max)} at most`,
      ],
      [
        'all that, and two of their visits to the day',
        row,
        `**${percent(released.twoVisitRiskMean)}** on average, ${percent(released.twoVisitRiskMax)} at most; certain for ${released.twoVisitAlone === 0 ? 'nobody' : `${percent(released.twoVisitAlone)} of them`}`,
      ],
      [
        'exactly which reflexes were scored',
        row,
        `certain for **${percent(time.uniqueByReflexes)}** of those whose scores leave`,
      ],
      [
        'age in months, sex, group, site, and by whom they were scored',
        row,
        raters.leave
          ? `certain for **${percent(raters.alone)}** of those whose scores leave`
          : 'no more than without: who scored does not leave',
      ],
      [
        "a person's scores, weeks of exercise or length of programme from elsewhere, as a family or a former colleague may",
        row,
        'not measured: take it as certain',
      ],
      [
        'an earlier release of this clinic',
        'who is new, who has left, more scores of one person',
        intersection === null
          ? 'not measured: none was named (--previous)'
          : `${intersection.joined + intersection.joinedByScores > 0 ? '**likely**' : 'see below'}: ${Math.max(intersection.joined, intersection.joinedByScores)} of ${intersection.peopleBefore} can be joined`,
      ],
    ],
  )
}

/** Which of the risks above the making of the tables keeps small, and which it only measures. */
const promises = ({ k, longitudinal: time }: RiskReport): string =>
  `Kept to what was asked: a chance of at most 1 in ${k.asked} for the second line; for the third, at most ${percent(time.maxUnique)} of the people found for certain${time.released.twoVisitAlone > time.maxUnique ? ' (**not kept**: who is a group of their own is found whatever is withheld)' : ''}. The other lines are measured and nothing is promised of them: if somebody is likely to know that much, the tables should not reach them. Finding a row means learning every score in it that leaves.`

/** The risk report as Markdown: what was asked, what was reached, what is left, and who decides. */
export function riskMarkdown(r: RiskReport): string {
  const { people, longitudinal: time } = r
  const parting = r.fidelity.filter((f) => f.parts)
  return [
    '# Risk report of the anonymised tables',
    r.statement,
    '## What can be found out, by whom, and how likely',
    atAGlance(r),
    promises(r),
    '## Who is in it',
    `Of ${counted(people.inRecords, 'client')}, ${people.consenting} consented to research. ${people.released} ${isOrAre(people.released)} released; ${people.suppressed} (${percent(people.shareSuppressed)} of those who consented) ${isOrAre(people.suppressed)} left out because no group of the size asked could be made for them.`,
    '## Could a person be picked out by what stands in their row?',
    `Smallest group of people alike in all four columns: **${r.k.reached}** (asked: ${r.k.asked}). Fewest different starting severities in a group: **${r.l.reached}** (asked: ${r.l.asked}); a starting severity is the mean of a person's first scores, told as absent or a quarter of the scale, and not known counts as one. Who knows that a person is in the tables, and their row's values, picks the right row with a chance of at most **${percent(r.prosecutorRisk.max)}**, on average ${percent(r.prosecutorRisk.mean)}. Rows that are alone: ${r.sampleUniques}.`,
    table(
      ['column', 'released as', 'detail lost'],
      r.columns.map((c) => [c.column, c.level, percent(c.loss)]),
    ),
    `Detail lost: the other values that a value was merged with, as a share of all other values, as a mean over people; 100\u00a0% is withheld. Least loss found over ${r.lattice.nodes} ways to coarsen (${r.lattice.counted} had to be counted), as a mean over the four columns, who is left out counting as all lost: ${percent(r.loss)}.`,
    '## Could a person be picked out by when they were seen?',
    `Times are released in units of: **${time.unit.replaceAll('_', ' ')}**. ${percent(time.released.uniqueBySequence)} of the people whose scores leave are alone with their sequence of visits (allowed: ${percent(time.maxUnique)}), ${percent(time.released.uniqueBySequenceInClass)} for whoever knows their row, too${time.withheld > 0 ? `; to reach what is allowed, the scores and weeks of ${peopleCounted(time.withheld)} are withheld` : ''}. Visits in one and the same unit look alike: ${UNIT_WORDS[time.unit]} By the set of reflexes they were scored for, ${percent(time.uniqueByReflexes)} are alone: who knows that set exactly knows the person.`,
    `Somebody who knows a person's age in months, sex, site and group, that they are in the tables, and two of their visits to the day picks their row with a chance of at most **${percent(time.released.twoVisitRiskMax)}**, on average **${percent(time.released.twoVisitRiskMean)}** (the worst two visits of each person, over ${people.released === 1 ? 'the one person' : `all ${people.released} people`}). **${percent(time.released.twoVisitAlone)} of the people are certain to be found by that** (allowed: ${percent(time.maxUnique)}). ${smallCaseload(people.released)}`,
    table(
      ['unit tried', 'alone by sequence', 'two visits known: mean chance', 'found for certain'],
      time.tried.map((t) => [
        t.unit.replaceAll('_', ' '),
        percent(t.uniqueBySequence),
        percent(t.twoVisitRiskMean),
        percent(t.twoVisitAlone),
      ]),
    ),
    '## Small counts',
    'Reactions: counts from 1 to 4 are withheld, and a second count with them, so that no sum gives them back; no single session leaves, so no other table does. Outcomes: figures of fewer than 5 people are withheld. That shelters whoever is given the outcomes alone, for instance in print. It hides nothing from whoever also holds the scores, of which a rare reflex has as few: they can work out its before and after, as nearly as times in these units allow. Of people whose scores are withheld nothing is in the outcomes either.',
    '## Do the tables still say what the records say?',
    parting.length > 0
      ? `**${counted(parting.length, 'figure')} ${parting.length === 1 ? 'parts' : 'part'} from the clinic's own by more than the half width of the 95 % interval there**, or ${parting.length === 1 ? 'is' : 'are'} gone ("none"). What is in bold is to be read with care.`
      : "No headline figure parts from the clinic's own by more than the half width of its interval.",
    "The interval is the 95 % interval of the figure on the clinic's own records. g is Hedges' g: mean change ÷ standard deviation of the changes, corrected for small samples. On the release: worked out from the released tables alone.",
    table(
      ['figure', 'on the records', 'on the release', 'half width'],
      r.fidelity.map((f) => [
        f.figure,
        figure(f.onRecords),
        f.parts ? `**${figure(f.onRelease)}**` : figure(f.onRelease),
        figure(f.halfWidth),
      ]),
    ),
    ...(r.intersection === null ? [] : ['## Beside the earlier release', r.intersection.warning]),
  ].join('\n\n')
}

const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, head.map(() => '---'), ...rows]
    .map((row) => `| ${row.map((c) => c.replaceAll('|', '\\|')).join(' | ')} |`)
    .join('\n')
