import { describe, expect, it } from 'vitest'
import { clientTimelineChart } from '../../src/charts/index.ts'
import { drawChart, drawSvg } from '../../src/notebook/draw.ts'

describe('a client’s timeline', () => {
  const START = 20_000
  const all = {
    lines: [{ target: 'moro', side: 'midline', from: START, to: START + 80, dose: '1 a day, 20 s' }],
    scores: [
      { reflex: 'moro', side: 'midline', day: START, severity: 0.75 },
      { reflex: 'moro', side: 'midline', day: START + 60, severity: 0.5 },
    ],
    intensities: [{ day: START + 14, intensity: 2 }],
    reactions: [{ day: START + 33, reaction: 'distress' }],
  } as const
  const textOf = async (data: typeof all | object): Promise<string> => {
    const { spec, narrow, title } = clientTimelineChart({ ...all, ...data })
    const drawn = [await drawSvg(spec!, title, ''), await drawSvg(narrow!, title, '')]
    return drawn.map((svg) => [...svg.matchAll(/>([^<>]+)</g)].map((m) => m[1]).join('|')).join('|')
  }

  it('has a part for each thing that is on record, and none for what is not', async () => {
    const parts = {
      lines: '|midline|',
      scores: 'Severity',
      intensities: 'Device level',
      reactions: 'distress',
    }
    const whole = await textOf({})
    for (const words of Object.values(parts)) expect(whole).toContain(words)
    for (const part of ['scores', 'intensities', 'reactions'] as const)
      expect(await textOf({ [part]: [] })).not.toContain(parts[part])
  })

  it('has behind it a table of all of it, by day', () => {
    const { table } = clientTimelineChart(all)
    expect(table.rows.map((row) => row.what)).toEqual([
      ...['programme line', 'score'],
      ...['device level', 'reaction', 'score'],
    ])
    expect(table.rows.map((row) => row.detail)).toEqual([
      'Moro, midline: 1 a day, 20 s',
      'Moro, midline: severity 75 %',
      '2.0',
      'distress',
      'Moro, midline: severity 50 %',
    ])
  })
})

it('a chart with nothing to draw is no picture', async () => {
  expect(
    await drawChart(clientTimelineChart({ lines: [], scores: [], intensities: [], reactions: [] }), ''),
  ).toBeNull()
})
