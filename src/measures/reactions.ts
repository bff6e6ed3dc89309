import { REACTIONS, type Reaction, type Records, type Stimulus } from '../records/index.ts'
import { poissonRate } from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { type AskedByStimulus, type ReactionEvent, reactionEvents } from './reaction-events.ts'
import { ExclusionTally, type MeasureResult, measureResult } from './result.ts'

export interface ReactionOptions extends AsOf {
  /** Confidence level of the rates, 0.95 unless given. */
  readonly level?: number
}

type Kind = Exclude<Reaction, 'none'>

/** Reactions per 1,000 sessions that were asked, for one stimulus. */
export interface StimulusReactions {
  readonly stimulus: Stimulus | 'not recorded' | 'all'
  /** Session rows with an answer, `none` too. */
  readonly asked: number
  /** Session rows without one: not asked, which is not `none`. */
  readonly notAsked: number
  readonly reactions: number
  /** Per 1,000 sessions asked, with its exact Poisson interval; null where none was asked. */
  readonly rate: number | null
  readonly lower: number | null
  readonly upper: number | null
  readonly byReaction: Readonly<Record<Kind, number>>
}

export interface Reactions extends MeasureResult {
  readonly byStimulus: readonly StimulusReactions[]
  readonly all: StimulusReactions
  readonly events: readonly ReactionEvent[]
}

function rateOf(
  stimulus: StimulusReactions['stimulus'],
  { asked, notAsked }: Omit<AskedByStimulus, 'stimulus'>,
  events: readonly ReactionEvent[],
  level: number,
): StimulusReactions {
  const kinds = REACTIONS.filter((r): r is Kind => r !== 'none')
  const byReaction = Object.fromEntries(
    kinds.map((kind) => [kind, events.filter((e) => e.reaction === kind).length]),
  ) as Record<Kind, number>
  const perThousand = asked === 0 ? null : poissonRate(events.length, asked / 1000, { level })
  return {
    stimulus,
    asked,
    notAsked,
    reactions: events.length,
    rate: perThousand?.estimate ?? null,
    lower: perThousand?.interval.lower ?? null,
    upper: perThousand?.interval.upper ?? null,
    byReaction,
  }
}

const sum = (rows: readonly AskedByStimulus[], of: 'asked' | 'notAsked'): number =>
  rows.reduce((total, row) => total + row[of], 0)

/**
 * Reactions per 1,000 sessions that were asked, by stimulus, with exact Poisson intervals. Sessions are rows: one side, once.
 * Left and right rows equal in all else count one reaction. A session that was not asked says nothing and is left out, counted.
 */
export function reactions(records: Records, options: ReactionOptions): Reactions {
  const level = options.level ?? 0.95
  const { events, asked } = reactionEvents(records.sessions, options)
  const byStimulus = asked
    .filter((row) => row.asked + row.notAsked > 0)
    .map((row) =>
      rateOf(
        row.stimulus ?? 'not recorded',
        row,
        events.filter((e) => e.stimulus === row.stimulus),
        level,
      ),
    )
  const total = { asked: sum(asked, 'asked'), notAsked: sum(asked, 'notAsked') }
  const left = new ExclusionTally()
  left.add('reaction not asked', total.notAsked)
  return {
    ...measureResult({
      measure: 'Reactions per 1,000 sessions asked',
      asOf: options.asOf,
      unit: 'session',
      enrolled: total.asked + total.notAsked,
      n: total.asked,
      exclusions: left.list(),
      method: 'rates with exact Poisson intervals (Garwood)',
      convention:
        'A session is one row: one side, once. Left and right rows equal in all else count one reaction. A blank is “not asked”, never “none”.',
      assumptions: [
        'Reactions are taken as independent; several of one client are not, so the intervals are too narrow.',
      ],
      reading: 'description',
    }),
    byStimulus,
    all: rateOf('all', total, events, level),
    events,
  }
}
