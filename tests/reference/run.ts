/**
 * `npm run reference -- FILE`: computes every case of a reference file and says, a line a case, how the number that
 * agrees least was expected and found. Exit 0 only if all cases agree.
 */
import path from 'node:path'
import { type Compared, computeCase, type Outcome, readCases, readLeftOut } from './compute.ts'

const file = process.argv[2]
if (file === undefined || file.startsWith('-')) {
  process.stderr.write(
    'Usage: npm run reference -- FILE\nExample: npm run reference -- tests/reference/values.json\n',
  )
  process.exit(2)
}

/** How much of what is allowed a difference takes. */
const strain = (c: Compared): number => (c.agrees ? c.difference / (c.allowed || 1) : Infinity)

function line({ id, agrees, compared, error, leftOut }: Outcome): string {
  const verdict = agrees ? 'agrees' : 'DIFFERS'
  if (error !== null) return `${verdict.padEnd(8)}${id}  ${error}`
  const worst = compared.toSorted((a, b) => strain(b) - strain(a))[0]
  const told = worst
    ? `${compared.length} numbers; least near ${worst.key}: expected ${worst.expected}, found ${JSON.stringify(worst.found) ?? 'nothing'}, relative difference ${worst.relative.toExponential(1)}, tolerance ${worst.allowed.toExponential(1)}`
    : 'nothing expected'
  return `${verdict.padEnd(8)}${id}  ${told}${leftOut ? `; ${leftOut} keys left out` : ''}`
}

const outcomes = readCases(file).map((one) => {
  const outcome = computeCase(one, path.dirname(path.resolve(file)), readLeftOut())
  process.stdout.write(`${line(outcome)}\n`)
  return outcome
})
const agreeing = outcomes.filter((o) => o.agrees).length
process.stdout.write(`${agreeing} of ${outcomes.length} agree\n`)
process.exitCode = agreeing === outcomes.length && outcomes.length > 0 ? 0 : 1
