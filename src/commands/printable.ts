/** Control characters from a hostile file must not drive the terminal: they are shown as `\u001b`. */
export const printable = (line: string): string =>
  line.replace(
    /[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  )
