import { type Client, formatDay, targetName } from '../records/index.ts'
import { hasCaution, type ReactionEvent } from './reaction-events.ts'
import type { Finding, Here, SafetyKind } from './safety-kinds.ts'
import { seriesId } from './series.ts'

const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

function reactionKind(event: ReactionEvent, client: Client): SafetyKind | null {
  switch (event.reaction) {
    case 'seizure':
      return 'seizure reaction'
    case 'breathing':
      return 'breathing reaction'
    case 'colour':
      return 'colour reaction'
    case 'vomiting':
    case 'sleepy':
      return hasCaution(client, 'shunt') ? 'vomiting or sleepy with a shunt' : null
    default:
      return null
  }
}

/** Seizure, breathing and colour reactions; vomiting or sleepy with a shunt. */
export function reactionFindings(events: readonly ReactionEvent[], here: Here): Finding[] {
  return events.flatMap((event): Finding[] => {
    const client = here(event.client_id)
    const kind = client === null ? null : reactionKind(event, client)
    if (kind === null) return []
    const at = event.at === null ? '' : ` at ${event.at}`
    const how = event.stimulus === null ? 'stimulus not recorded' : event.stimulus
    return [
      {
        client_id: event.client_id,
        kind,
        from: event.day,
        to: event.day,
        what: `${sentence(event.reaction)} recorded on ${formatDay(event.day)}${at} (${targetName(event.target)}, ${event.sides.join(' and ')}, ${how}).`,
        seriesIds: event.sides.map((side) => seriesId(event.client_id, event.target, side)),
      },
    ]
  })
}
