import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { buildTimeline, decimate, scoreRun, valueAt } from '../src/index.ts';
import type { TimelinePoint } from '../src/index.ts';
import { adrenaline, build, end, FIRST_ADRENALINE, give, pack, s, SECOND_ADRENALINE, type Plan } from './build-run.ts';

const picture = (plan: Plan) => {
  const run = build(plan);
  return buildTimeline(run, scoreRun(run));
};

describe('the picture of a run', () => {
  const model = picture({
    pack: pack({ targets: [FIRST_ADRENALINE, SECOND_ADRENALINE] }),
    at: (t) => ({
      vitals: { spo2Percent: t < s(60) ? 97 : 89, systolicMmHg: 80, diastolicMmHg: 40 },
      shown: {
        spo2Percent: t >= s(30) ? 91 : null,
        bloodPressure: t >= s(45) ? { systolicMmHg: 82, diastolicMmHg: 41, meanMmHg: 54, takenAtMs: s(44) } : null,
      },
      signs: { wheeze: t >= s(60) ? 2 : 0 },
      states: { illness: t < s(100) ? 'reacting' : 'tiring' },
    }),
    lines: [
      { at: s(20), kind: 'mark' },
      { at: s(25), kind: 'mark-named', targetSeq: 2, label: 'Bag dropped' },
      { at: s(30), kind: 'device-attached', device: 'oximeter' },
      { at: s(40), kind: 'cue-spoken', cue: 'story' },
      { at: s(70), kind: 'assessment', intervention: 'look-breathing' },
      adrenaline(s(100), { step: 'said' }),
      adrenaline(s(110), { amount: 3000, volumeMl: 3 }),
      give(s(115), 'call-help'),
      adrenaline(s(420)),
      { at: s(425), kind: 'note', text: 'Good closed loop' },
      { at: s(430), kind: 'event-withdrawn', targetSeq: 10 },
      end(s(600)),
      { at: s(601), kind: 'note', text: 'after' },
    ],
  });

  it('numbers doses, leaves out what was withdrawn or came after the end, and flags the wrong one', () => {
    expect(model.doses.map((one) => [one.atMs, one.nth, one.warn])).toEqual([[s(110), 1, true]]);
    expect(model.notes.map((one) => one.label)).toEqual(['Bag dropped', 'Good closed loop']);
    expect(model.toMs).toBe(s(600));
  });

  it('words cues, assessments and acts', () => {
    expect(model.cues[0]?.label).toBe('parent: “She ate a biscuit.”');
    expect(model.assessments.map((one) => one.atMs)).toEqual([s(70)]);
    expect(model.acts.map((one) => one.label)).toEqual(['oximeter on', 'Adrenaline IM said', 'Call for help']);
  });

  it('an act whose seat was named afterwards is one mark with that seat', () => {
    const named = picture({
      pack: pack({ targets: [FIRST_ADRENALINE] }),
      lines: [
        adrenaline(s(100)),
        { at: s(104), kind: 'act-amended', targetSeq: 2, doneBy: 'Nurse one' },
        { at: s(110), kind: 'assessment', intervention: 'look-breathing' },
        { at: s(111), kind: 'act-amended', targetSeq: 4, doneBy: 'Nurse two' },
        { at: s(112), kind: 'event-withdrawn', targetSeq: 5 },
      ],
    });
    expect(named.doses.map(({ seq, atMs, by }) => [seq, atMs, by])).toEqual([[2, s(100), 'Nurse one']]);
    expect(named.assessments.map(({ by }) => by)).toEqual([undefined]);
    expect(named.notes).toEqual([]);
  });

  it('marks each result when it came back, with its values; none for a request withdrawn or an answer after the end', () => {
    const gas = {
      site: 'arterial',
      pH: 7.28,
      pco2MmHg: 52,
      pco2KPa: 6.9,
      po2MmHg: 60,
      po2KPa: 8,
      bicarbonateMmolPerL: 24,
      baseExcessMmolPerL: -3,
      lactateMmolPerL: 3.1,
      glucoseMmolPerL: 7,
      haemoglobinGPerDl: 12,
      saturationPercent: 88,
    } as const;
    const back = (seq: number, atMs: number) =>
      ({
        kind: 'result',
        seq,
        atMs,
        test: 'blood-gas',
        sampledAtMs: atMs - s(120),
        values: gas,
        true: gas,
        text: 'Arterial gas: pH 7.28, PCO2 6.9 kPa (52 mmHg)',
        overridden: (seq === 2 ? [] : ['arterialPh']) as readonly 'arterialPh'[],
      }) as const;
    const with3 = picture({
      pack: pack({ targets: [] }),
      lines: [
        give(s(60), 'blood-gas'),
        give(s(70), 'blood-gas'),
        give(s(80), 'blood-gas'),
        give(s(550), 'blood-gas'),
        { at: s(90), kind: 'event-withdrawn', targetSeq: 4 },
        end(s(600)),
      ],
      derived: [back(2, s(180)), back(3, s(190)), back(4, s(200)), back(5, s(670))],
    });
    expect(with3.results.map(({ seq, atMs, kind }) => [seq, atMs, kind])).toEqual([
      [2, s(180), 'result'],
      [3, s(190), 'result'],
    ]);
    expect(with3.results[0]?.label).toBe('Arterial gas: pH 7.28, PCO2 6.9 kPa (52 mmHg)');
    expect(with3.results[0]?.text).toBe(
      '3:00 Result of the sample of 1:00. Arterial gas: pH 7.28, PCO2 6.9 kPa (52 mmHg)',
    );
    expect(with3.results[1]?.text).toMatch(/while faculty held/);
    expect(model.results).toEqual([]);
  });

  it('draws true and shown apart, gaps as gaps, cuff readings once each', () => {
    const spo2 = model.panels.find((one) => one.id === 'spo2');
    expect(valueAt(spo2?.lines.find((line) => line.kind === 'shown')?.points ?? [], s(29))).toBeNull();
    expect(valueAt(spo2?.lines.find((line) => line.kind === 'shown')?.points ?? [], s(31))).toBe(91);
    expect(valueAt(spo2?.lines.find((line) => line.kind === 'true')?.points ?? [], s(200))).toBe(89);
    const cuff = model.panels.find((one) => one.id === 'pressure')?.lines.find((line) => line.style === 'dots');
    expect(cuff?.points).toEqual([{ atMs: s(44), value: 82 }]);
    expect(model.panels.map((one) => one.id)).not.toContain('etco2');
  });

  it('turns states into bands that meet and cover the run', () => {
    const states = model.threads[0]?.states ?? [];
    expect(states.map((one) => [one.state, one.fromMs, one.toMs])).toEqual([
      ['reacting', 0, s(100)],
      ['tiring', s(100), s(600)],
    ]);
  });

  it('shows a target from clock start to due to limit', () => {
    // Low saturation and wheeze could both be seen from 60 s.
    expect(model.targets[0]).toMatchObject({ fromMs: s(60), dueMs: s(180), limitMs: s(360), actualMs: s(110) });
  });

  it('keeps every axis around what it shows', () => {
    for (const panel of model.panels)
      for (const line of panel.lines)
        for (const { value } of line.points)
          if (value !== null) expect(value >= panel.domain[0] && value <= panel.domain[1]).toBe(true);
  });
});

describe('decimate', () => {
  const series = fc
    .array(fc.option(fc.integer({ min: 0, max: 200 }), { nil: null, freq: 10 }), {
      minLength: 1,
      maxLength: 3000,
      size: 'max',
    })
    .map((values) => values.map((value, index): TimelinePoint => ({ atMs: index * 1000, value })));

  it('loses no extreme, keeps order and points that exist, and stays small', () => {
    fc.assert(
      fc.property(series, fc.integer({ min: 1, max: 300 }), (points, pixels) => {
        const to = (points.length - 1) * 1000;
        const kept = decimate(points, 0, to, pixels);
        const values = (all: readonly TimelinePoint[]) => all.flatMap((one) => (one.value === null ? [] : [one.value]));
        if (values(points).length > 0) {
          expect(Math.min(...values(kept))).toBe(Math.min(...values(points)));
          expect(Math.max(...values(kept))).toBe(Math.max(...values(points)));
        }
        expect(kept.every((one) => points.includes(one))).toBe(true);
        expect(kept.every((one, index) => index === 0 || one.atMs > (kept[index - 1]?.atMs ?? 0))).toBe(true);
      }),
      { numRuns: 30 },
    );
  });

  it('makes a long run small', () => {
    const points = Array.from({ length: 20_000 }, (_, index) => ({ atMs: index * 1000, value: (index * 7919) % 97 }));
    expect(decimate(points, 0, 20_000_000, 500).length).toBeLessThanOrEqual(501 * 4);
  });

  it('reaches the edges of a zoomed window', () => {
    const points = Array.from({ length: 100 }, (_, index) => ({ atMs: index * 1000, value: index }));
    const kept = decimate(points, 10_500, 20_500, 1000);
    expect([kept[0]?.atMs, kept[kept.length - 1]?.atMs]).toEqual([10_000, 21_000]);
  });
});
