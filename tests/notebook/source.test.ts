import { describe, expect, it } from 'vitest'
import { lineInFile } from '../../src/notebook/show.ts'
import { cellsOf, excerpt } from '../../src/notebook/source.ts'

const NOTEBOOK = `/* md
# Title

Two words.
*/
import { show } from 'waneline'

// %% First
/** md
 * ## Starred
 *
 * Also prose.
 */
show('a')
// %%
const text = '// %% no cell: it does not begin the line'
/* no prose: it does not open with md */
`

describe('cellsOf', () => {
  it('begins a cell at each marker, with the lines before the first as a cell of their own', () => {
    expect(cellsOf(NOTEBOOK).map(({ from, to, title }) => ({ from, to, title }))).toEqual([
      { from: 1, to: 7, title: '' },
      { from: 8, to: 14, title: 'First' },
      { from: 15, to: 18, title: '' },
    ])
  })

  it('takes prose out of Markdown comments, plain or starred, and leaves it out of the code', () => {
    const [first, second, third] = cellsOf(NOTEBOOK)
    expect(first!.prose).toEqual([{ line: 1, text: '# Title\n\nTwo words.' }])
    expect(second!.prose).toEqual([{ line: 9, text: '## Starred\n\nAlso prose.' }])
    expect(second!.code).toBe("show('a')")
    expect(third!.prose).toEqual([])
    expect(third!.code).toContain('no prose')
  })

  it('reads line ends of every kind alike', () => {
    const plain = cellsOf(NOTEBOOK)
    expect(cellsOf(NOTEBOOK.replaceAll('\n', '\r\n'))).toEqual(plain)
  })
})

describe('excerpt', () => {
  it('shows the lines around, numbered, the line itself marked', () => {
    expect(excerpt('a\nb\nc\nd', 3, 1)).toBe('  2 | b\n> 3 | c\n  4 | d')
    expect(excerpt('a\nb', 1, 2)).toBe('> 1 | a\n  2 | b')
  })
})

describe('lineInFile', () => {
  const stack = `Error: where
    at show (/x/src/show.ts:9:3)
    at deeper (/x/my notebook.ts:11:2)
    at async file:///x/my%20notebook.ts?v=3:20:1
    at node:internal/main:1:1`

  it('finds the frame where a cell made the call, and the one where it went wrong', () => {
    expect(lineInFile(stack, '/x/my notebook.ts')).toBe(20)
    expect(lineInFile(stack, '/x/my notebook.ts', 'innermost')).toBe(11)
    expect(lineInFile(stack, '/x/other.ts')).toBeNull()
  })
})
