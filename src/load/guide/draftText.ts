/** Marks every line of a draft where a person has to look. */
export const DECIDE = 'DECIDE'

/** A text as YAML can hold it in one line. */
export const quoted = (text: string): string =>
  /^[\p{L}][\p{L}\p{N} _()/+-]*$/u.test(text) && text === text.trim() ? text : JSON.stringify(text)
export const oneLine = (text: string): string => text.replace(/[\x00-\x1f\u2028\u2029\u0085\ufeff]/g, ' ')
export const shortly = (text: string): string => JSON.stringify(oneLine(text).slice(0, 40))
