/**
 * The choice nearest to what was written, for "did you mean": at most a third of its letters changed, and only where no
 * other choice is as near.
 *
 * @param form how a text is compared; by default as it is
 */
export function nearestChoice(
  written: string,
  choices: readonly string[],
  form: (text: string) => string = (text) => text,
): string | null {
  const word = form(written)
  const ranked = choices
    .map((choice) => ({ choice, distance: editDistance(word, form(choice)) }))
    .sort((a, b) => a.distance - b.distance)
  const [best, second] = ranked
  if (best === undefined || best.distance > Math.max(1, Math.floor(word.length / 3))) return null
  return second !== undefined && second.distance === best.distance ? null : best.choice
}

/**
 * Up to `most` choices that have something of what was written, nearest first: a word of two letters or more in common (`client` in
 * `client_id`), or at most half of its letters changed. Where nothing is near, none.
 */
export function nearestChoices(
  written: string,
  choices: readonly string[],
  most: number,
  form: (text: string) => string = (text) => text,
): string[] {
  const wordsOf = (text: string): string[] =>
    form(text)
      .split(/[^\p{L}\p{N}]+|_/u)
      .filter((w) => w.length > 1)
  const word = form(written)
  const words = wordsOf(written)
  return choices
    .map((choice) => ({
      choice,
      shared: wordsOf(choice).filter((w) => words.includes(w)).length,
      distance: editDistance(word, form(choice)),
    }))
    .filter(({ shared, distance }) => shared > 0 || distance <= Math.floor(word.length / 2))
    .sort((a, b) => b.shared - a.shared || a.distance - b.distance)
    .slice(0, most)
    .map(({ choice }) => choice)
}

/** Levenshtein's distance, with two letters that changed places counted as one change (optimal string alignment). */
function editDistance(a: string, b: string): number {
  let before: readonly number[] = []
  let previous: readonly number[] = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const change = (previous[j - 1] as number) + (a[i - 1] === b[j - 1] ? 0 : 1)
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]
      const swap = swapped ? (before[j - 2] as number) + 1 : change
      row.push(Math.min(change, swap, (previous[j] as number) + 1, (row[j - 1] as number) + 1))
    }
    before = previous
    previous = row
  }
  return previous[b.length] as number
}
