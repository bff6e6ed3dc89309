#!/usr/bin/env node
// Compares two result folders figure by figure.
//   node check.mjs DIR_A DIR_B [--rel 1e-6]
// Rows are matched by their key columns, not by their order. Text must be equal; empty matches only
// empty; numbers may differ by REL of the larger one (or by 1e-9 in all; p values by REL alone; the
// covariance of intercept and slope by REL of the product of their standard deviations). Prints the largest difference of each file. Exit status 0: the two agree. 1: they do not.
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'

const FILES = {
  'summary.csv': ['quantity'],
  'problems.csv': ['file', 'record', 'field'],
  'adherence_lines.csv': ['client_id', 'target', 'side', 'starts_on'],
  'adherence_clients.csv': ['client_id'],
  'dose_ratio.csv': ['client_id', 'target'],
  'weekly.csv': ['clock', 'week'],
  'trajectories.csv': ['client_id', 'reflex', 'side'],
  'mixed.csv': ['quantity'],
  'prepost.csv': ['reflex'],
  'survival.csv': ['reflex', 'time'],
  'absent.csv': ['reflex'],
}
const NO_FLOOR = new Set(['wilcoxon_p'])
const args = process.argv.slice(2),
  at = args.indexOf('--rel')
const REL = at >= 0 ? Number(args.splice(at, 2)[1]) : 1e-6
if (args.length !== 2 || !(REL >= 0)) {
  console.error('usage: check.mjs DIR_A DIR_B [--rel 1e-6]')
  process.exit(2)
}

function parse(text) {
  const rows = []
  let row = [],
    field = '',
    quoted = false
  for (let i = 0; i < text.length; i++) {
    const c = text[i]
    if (quoted) {
      if (c !== '"') field += c
      else if (text[i + 1] === '"') {
        field += '"'
        i++
      } else quoted = false
    } else if (c === '"' && field === '') quoted = true
    else if (c === ',') {
      row.push(field)
      field = ''
    } else if (c === '\n') {
      row.push(field)
      rows.push(row)
      row = []
      field = ''
    } else if (c !== '\r') field += c
  }
  if (field !== '' || row.length) {
    row.push(field)
    rows.push(row)
  }
  return rows
}
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/
function load(dir, name, keys) {
  const [head, ...rows] = parse(readFileSync(join(dir, name), 'utf8'))
  const at = keys.map((k) => head.indexOf(k))
  if (at.includes(-1)) throw new Error(`${join(dir, name)}: no column ${keys[at.indexOf(-1)]}`)
  const map = new Map()
  for (const r of rows) {
    const k = at.map((i) => (NUMBER.test(r[i]) ? String(Number(r[i])) : r[i])).join('|')
    if (map.has(k)) throw new Error(`${join(dir, name)}: ${k} twice`)
    map.set(k, r)
  }
  return { head, map }
}

let bad = 0,
  figures = 0
for (const [name, keys] of Object.entries(FILES)) {
  const there = args.map((d) => existsSync(join(d, name)))
  if (!there[0] || !there[1]) {
    console.log(`${name.padEnd(22)} MISSING in ${there[0] ? args[1] : args[0]}`)
    bad++
    continue
  }
  const [a, b] = args.map((d) => load(d, name, keys))
  let worst = 0,
    where = '',
    wrong = 0,
    first = ''
  const fault = (m) => {
    wrong++
    if (!first) first = m
  }
  const columns = a.head.filter((c) => !keys.includes(c))
  for (const c of columns) if (!b.head.includes(c)) fault(`column ${c} only in the first`)
  for (const c of b.head) if (!a.head.includes(c)) fault(`column ${c} only in the second`)
  for (const k of b.map.keys()) if (!a.map.has(k)) fault(`${k} only in the second`)
  for (const [k, ra] of a.map) {
    const rb = b.map.get(k)
    if (!rb) {
      fault(`${k} only in the first`)
      continue
    }
    for (const c of columns) {
      const x = ra[a.head.indexOf(c)],
        y = rb[b.head.indexOf(c)]
      figures++
      if (x === y) continue
      if (x === undefined || y === undefined || !NUMBER.test(x) || !NUMBER.test(y)) {
        fault(`${k} ${c}: "${x}" and "${y}"`)
        continue
      }
      const cov = k === 'cov_intercept_slope',
        v = (q) => Number(a.map.get(q)[1]),
        d = Math.abs(x - y)
      const size = cov ? Math.sqrt(v('var_intercept') * v('var_slope')) : Math.max(Math.abs(x), Math.abs(y))
      const rel = d === 0 || (!NO_FLOOR.has(c) && d <= 1e-9) || size < 1e-300 ? 0 : d / size
      if (rel > worst) {
        worst = rel
        where = `${k} ${c}`
      }
      if (rel > REL) fault(`${k} ${c}: ${x} and ${y}`)
    }
  }
  bad += wrong
  console.log(
    `${name.padEnd(22)} ${String(a.map.size).padStart(8)} rows  largest relative difference ${worst.toExponential(1)}${where ? ` (${where})` : ''}${wrong ? `  ${wrong} WRONG, first: ${first}` : ''}`,
  )
}
console.log(bad ? `${bad} differences beyond ${REL}` : `all ${figures} figures agree to ${REL}`)
process.exit(bad ? 1 : 0)
