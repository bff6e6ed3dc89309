import { type Chart, chart } from './chart.ts'
import { isNarrow, labelRows } from './layout.ts'
import { INK } from './theme.ts'
import { count, grouped, rounded, sentence, withInterval, words } from './words.ts'

export interface ReactionRate {
  readonly stimulus: string
  /** Sessions at which a reaction was asked for. */
  readonly asked: number
  readonly reactions: number
  /** Per 1,000 sessions asked, with the exact Poisson interval. */
  readonly rate: number | null
  readonly lower: number | null
  readonly upper: number | null
}

/** Reactions per 1,000 sessions that were asked, by stimulus. */
export function reactionsByStimulusChart(rates: readonly ReactionRate[]): Chart {
  const rows = rates.map((r) => ({
    stimulus: sentence(words(r.stimulus)),
    label: `${sentence(words(r.stimulus))} (${grouped(r.reactions)} of ${grouped(r.asked)})`,
    asked: r.asked,
    reactions: r.reactions,
    rate: r.rate,
    lower: r.lower,
    upper: r.upper,
    words: withInterval(r.rate, r.lower, r.upper, 1),
  }))
  const drawn = rows.filter((r) => r.rate !== null)
  const asked = rates.reduce((sum, r) => sum + r.asked, 0)
  const seen = rates.reduce((sum, r) => sum + r.reactions, 0)
  const most = drawn.toSorted((a, b) => b.rate! - a.rate!)[0]
  return chart({
    title: most
      ? `${sentence(most.stimulus)} has the highest rate: ${rounded(most.rate, 1)} in 1,000 sessions`
      : 'No session at which a reaction was asked for',
    subtitle: `${count(seen, 'reaction')} in ${count(asked, 'session')} that were asked`,
    description: `Reactions per 1,000 sessions by stimulus with exact 95 % intervals. ${drawn.map((r) => `${r.stimulus}: ${r.words}`).join('. ')}.`,
    shows: 'Reactions for each 1,000 sessions asked, by stimulus, with 95 % intervals.',
    reading:
      'Sessions count at which somebody noted "none" or a reaction. Rates of few sessions are wide: compare intervals, not points.',
    limits: 'It cannot show reactions that nobody wrote down, nor that the stimulus caused them.',
    table: {
      columns: [
        { field: 'stimulus', label: 'Stimulus' },
        { field: 'asked', label: 'Sessions asked', decimals: 0 },
        { field: 'reactions', label: 'Reactions', decimals: 0 },
        { field: 'words', label: 'Per 1,000 (95 %)' },
      ],
      rows,
    },
    drawable: drawn.length > 0,
    build: (width) => {
      const y = labelRows(width, ' (')
      const x = {
        type: 'quantitative',
        scale: { zero: true },
        axis: { title: 'Reactions per 1,000 sessions asked', tickCount: 5 },
      }
      return {
        width,
        height: drawn.length * (isNarrow(width) ? 42 : 40),
        data: { values: drawn },
        layer: [
          {
            mark: { type: 'rule', strokeWidth: 2.5, opacity: 1, color: INK.caution },
            encoding: { y, x: { field: 'lower', ...x }, x2: { field: 'upper' } },
          },
          {
            mark: { type: 'point', size: 90, opacity: 1, color: INK.caution, shape: 'diamond' },
            encoding: {
              y,
              x: { field: 'rate', ...x },
              tooltip: [
                { field: 'stimulus', title: 'Stimulus' },
                { field: 'words', title: 'Per 1,000 (95 %)' },
              ],
              description: { field: 'words' },
            },
          },
          {
            mark: { type: 'text', dy: -11, fontSize: 11, fontWeight: 600 },
            encoding: { y, x: { field: 'rate', ...x }, text: { field: 'rate', format: '.1f' } },
          },
        ],
      }
    },
  })
}
