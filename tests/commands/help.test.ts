import { Command } from 'commander'
import { describe, expect, it } from 'vitest'
import { registerChart } from '../../src/commands/chart.ts'
import { registerNew } from '../../src/commands/new.ts'
import { registerRead } from '../../src/commands/read.ts'
import { registerRelease } from '../../src/commands/release.ts'
import { registerRun } from '../../src/commands/run.ts'
import { registerVerify } from '../../src/commands/verify.ts'
import { registerWatch } from '../../src/commands/watch.ts'
import { helpText, WIDTH } from '../../src/commands/wrapped.ts'

function helpOf(register: (program: Command) => void): string {
  const program = new Command('waneline')
  register(program)
  const [command] = program.commands
  const written: string[] = []
  command!.configureOutput({ writeOut: (text) => void written.push(text), getOutHelpWidth: () => WIDTH })
  command!.outputHelp()
  return written.join('')
}

describe('help', () => {
  it.each([
    ['chart', registerChart],
    ['new', registerNew],
    ['read', registerRead],
    ['release', registerRelease],
    ['run', registerRun],
    ['verify', registerVerify],
    ['watch', registerWatch],
  ])('of %s is no wider than a plain terminal', (name, register) => {
    const help = helpOf(register)
    expect(help).toContain(`Usage: waneline ${name}`)
    expect(help.split('\n').filter((line) => line.length > WIDTH)).toEqual([])
  })

  it('fills paragraphs, leaves lists alone, and breaks a command so that a shell takes it as one', () => {
    const word = 'x'.repeat(30)
    // By hand: two words of 30 and the blank between are 61 columns, a third would make 92.
    expect(helpText(`${word}\n${word}\n${word}\n\n  a list\n  of two`)).toBe(
      `${word} ${word}\n${word}\n\n  a list\n  of two`,
    )
    // "  waneline read " and 30 make 46, with the next 77, and " \" 79; a third stands on a line of its own.
    expect(helpText(`  waneline read ${word} ${word} ${word}`)).toBe(
      `  waneline read ${word} ${word} \\\n    ${word}`,
    )
  })
})
