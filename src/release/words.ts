/** A number with the word that follows it: "1 person", "2 people". */
export const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`

/** "1 person" or "2 people", with what they do: "1 person is new", "2 people are new". */
export const people = (n: number, does = '', do_ = does): string =>
  [counted(n, 'person', 'people'), n === 1 ? does : do_].filter(Boolean).join(' ')

/** A share in percent with so many digits; never "0 %" of what is somebody, nor "100 %" of what is not all. */
export function percentWords(share: number, digits = 0): string {
  const step = 10 ** -digits
  if (share > 0 && 100 * share < step / 2) return `under ${step} %`
  if (share < 1 && 100 * share >= 100 - step / 2) return `over ${100 - step} %`
  return `${(100 * share).toFixed(digits)} %`
}
