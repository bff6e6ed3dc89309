import type { UnreadReaction } from '../../records/index.ts'

/** Reactions that came into no table, gathered so that a person can look at them. */
export class UnreadReactions {
  readonly found: UnreadReaction[] = []

  add(reaction: UnreadReaction): void {
    this.found.push(reaction)
  }
}
