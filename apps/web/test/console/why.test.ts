import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ageNorms, buildPatient, createState, explain, type VitalId } from '@breathline/patient';
import { askEvery } from '../../src/lib/console/ask-every.ts';
import { clockText } from '../../src/lib/console/format.ts';
import { ranBeforeStop } from '../../src/lib/console/clocks.ts';
import { EMPTY, receive } from '../../src/lib/console/frames.ts';
import { resultRows } from '../../src/lib/console/results.ts';
import { vitalRows } from '../../src/lib/console/vitals.ts';
import { shortCentile, termRows, usualForAge, whyQuestion, WHY_VITALS } from '../../src/lib/console/why.ts';
import { frame, line, trueVitals, view } from './sample.ts';

describe('why', () => {
  it('asks about each vital in words', () => {
    expect(whyQuestion('spo2Percent', '84')).toBe('Why is the saturation 84 %?');
    expect(whyQuestion('systolicMmHg', '72/38')).toBe('Why is the blood pressure 72/38?');
  });

  it('shows every term the model gives once, with nought apart, for every vital that can be asked about', () => {
    const model = buildPatient({ ageYears: 7, weightKg: 23, sex: 'female' });
    const state = createState(model);
    for (const vital of WHY_VITALS) {
      const { terms } = explain(model, state, vital);
      const rows = termRows(terms);
      expect([...rows.telling, ...rows.quiet].map(({ id }) => id).sort()).toEqual(terms.map(({ id }) => id).sort());
      expect(rows.telling.length, vital).toBeGreaterThan(0);
      for (const row of rows.quiet) expect(row.value).toBe('0');
    }
  });

  it('keeps a term at nought in sight while it moves, and says what a share is a share of', () => {
    const { telling, quiet } = termRows([
      { id: 'adrenaline-effect', label: 'Adrenaline effect', value: 0.2, unit: '%', trend: 'rising' },
      { id: 'bronchospasm', label: 'Bronchospasm', value: 0.2, unit: '%', trend: 'steady' },
      { id: 'output', label: 'Output', value: 61.7, unit: '%' },
      { id: 'fio2', label: 'FiO2', value: 0.2104, unit: '' },
    ]);
    expect(telling).toEqual([
      { id: 'adrenaline-effect', label: 'Adrenaline effect', value: '0', unit: '%', trend: 'rising' },
      { id: 'output', label: 'Output of the heart', value: '62', unit: '% of resting', trend: null },
      { id: 'fio2', label: 'FiO2', value: '0.21', unit: '', trend: null },
    ]);
    expect(quiet.map(({ id }) => id)).toEqual(['bronchospasm']);
  });

  // Fleming S et al. Lancet 2011;377:1011-18, heart rate at 6 to 8 years: 1st 59, 50th 91, 99th 120 per minute (from memory).
  it('places a child’s rate among its age, and an adult’s not', () => {
    expect(shortCentile('heartRatePerMin', 7, 91)).toBe('50th');
    expect(shortCentile('heartRatePerMin', 7, 190)).toBe('>99th');
    expect(shortCentile('heartRatePerMin', 7, 40)).toBe('<1st');
    for (const [vital, age, value] of [
      ['heartRatePerMin', 40, 150],
      ['spo2Percent', 7, 80],
      ['heartRatePerMin', 7, 0],
      ['respiratoryRatePerMin', 7, 900],
    ] as [VitalId, number, number][])
      expect(shortCentile(vital, age, value)).toBeNull();
    const rows = vitalRows(view(), ageNorms(7), 7);
    expect(rows.find(({ id }) => id === 'heartRatePerMin')).toMatchObject({ trueFlag: 'high', trueCentile: '>99th' });
    expect(rows.find(({ id }) => id === 'spo2Percent')).toMatchObject({ trueFlag: 'low', trueCentile: null });
  });

  it('says what is usual for the age, with its source', () => {
    const child = { ageYears: 7, sex: 'female' } as const;
    const rate = usualForAge('heartRatePerMin', ageNorms(7), child, 150);
    expect(rate?.text).toMatch(
      /^Usual for age \d+ to \d+ \(10th to 90th centile\)\. Now above the 99th centile for age\.$/,
    );
    expect(rate?.source).toMatch(/Fleming/);
    // 70 + 2 x age; 2 x age + 65: see the sources named there.
    const pressure = usualForAge('systolicMmHg', ageNorms(7), child, 72);
    expect(pressure?.text).toMatch(
      /^Systolic is low for age below 84 mmHg\. Systolic: 5th centile 79, 50th 104, 95th 113\.$/,
    );
    expect(usualForAge('systolicMmHg', ageNorms(40), { ageYears: 40, sex: 'male' }, 72)?.text).toMatch(
      /below 90 mmHg\.$/,
    );
    expect(usualForAge('etco2MmHg', ageNorms(7), child, 20)).toBeNull();
  });
});

describe('results', () => {
  const gas = { seq: 4, test: 'blood-gas', name: 'Blood gas sent', sampledAtMs: 60_000, dueAtMs: 180_000 };
  const text = 'Arterial gas: pH 7.28, PCO2 6.9 kPa (52 mmHg), base excess −3.1 mmol/L';

  it('wait, come back in parts to read out, and count as read once a mark says so', () => {
    const waiting = resultRows([{ ...gas, text: null, values: null }], [])[0]!;
    expect(waiting).toMatchObject({ status: 'waiting', parts: [], title: null });
    const back = [{ ...gas, text, values: null }];
    expect(resultRows(back, [])[0]).toMatchObject({
      status: 'back',
      title: 'Arterial gas',
      parts: [
        { label: 'pH', value: '7.28' },
        { label: 'PCO2', value: '6.9 kPa (52 mmHg)' },
        { label: 'base excess', value: '−3.1 mmol/L' },
      ],
    });
    const read = { kind: 'mark', label: `Blood gas of ${clockText(60_000)} read out` } as const;
    expect(resultRows(back, [line(9, read, 190_000)])[0]?.status).toBe('read');
    expect(resultRows(back, [line(9, read, 190_000, 10)])[0]?.status).toBe('back');
    expect(resultRows([{ ...gas, text: 'Lost in the post', values: null }], [])[0]).toMatchObject({
      title: 'Blood gas',
      parts: [{ label: '', value: 'Lost in the post' }],
    });
    expect(resultRows(undefined, [])).toEqual([]);
  });

  it('come newest first, two of one name apart', () => {
    const rows = resultRows(
      [
        { ...gas, text, values: null },
        { ...gas, seq: 8, sampledAtMs: 90_000, text, values: null },
      ],
      [],
    );
    expect(rows.map(({ seq }) => seq)).toEqual([8, 4]);
    expect(rows[0]!.mark).not.toBe(rows[1]!.mark);
  });
});

describe('a real-emergency stop', () => {
  const at = (seq: number, kind: 'run-started' | 'run-resumed' | 'real-emergency-stop' | 'real-emergency-cleared') =>
    line(seq, { kind }, seq * 1000);
  const paused = (seq: number, why: 'faculty' | 'real-emergency') => line(seq, { kind: 'run-paused', why }, seq * 1000);

  it('a mis-tap goes back to what was: running, or paused', () => {
    expect(ranBeforeStop([at(1, 'run-started'), at(2, 'real-emergency-stop')])).toBe(true);
    expect(ranBeforeStop([at(1, 'run-started'), paused(2, 'faculty'), at(3, 'real-emergency-stop')])).toBe(false);
    // A second stop after the first was cleared and the run went on.
    const log = [
      at(1, 'run-started'),
      at(2, 'real-emergency-stop'),
      at(3, 'real-emergency-cleared'),
      at(4, 'run-resumed'),
    ];
    expect(ranBeforeStop([...log, at(5, 'real-emergency-stop')])).toBe(true);
    // What the server logs after the stop is not what was before it.
    expect(ranBeforeStop([at(1, 'run-started'), at(2, 'real-emergency-stop'), paused(3, 'real-emergency')])).toBe(true);
    expect(ranBeforeStop([])).toBe(false);
  });

  it('leaves no noughts in the trends', () => {
    const live = receive(EMPTY, frame({ view: view({ clockMs: 60_000 }) }));
    const blank = view({
      clockMs: 62_000,
      realEmergency: true,
      trueVitals: Object.fromEntries(Object.keys(trueVitals).map((id) => [id, 0])) as never,
    });
    expect(receive(live, frame({ roleSeq: 2, view: blank })).trend).toEqual(live.trend);
  });
});

describe('an answer asked again and again', () => {
  beforeEach(() => {
    vi.useFakeTimers();
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  it('is refreshed, never asked twice at once, asked again after a failure, and tells nothing once closed', async () => {
    let asked = 0;
    const told: (number | string)[] = [];
    let answer: () => Promise<number> = () => Promise.resolve(asked);
    const ask = () => {
      asked += 1;
      return answer();
    };
    const stop = askEvery(
      ask,
      (each) => told.push(each),
      (thrown) => told.push((thrown as Error).message),
      2000,
    );
    await vi.advanceTimersByTimeAsync(1);
    expect([asked, told]).toEqual([1, [1]]);
    await vi.advanceTimersByTimeAsync(2000);
    expect([asked, told]).toEqual([2, [1, 2]]);
    answer = () => Promise.reject(new Error('gone'));
    await vi.advanceTimersByTimeAsync(2000);
    expect([asked, told]).toEqual([3, [1, 2, 'gone']]);
    let settle = (_: number): void => undefined;
    answer = () => new Promise((resolve) => (settle = resolve));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(asked).toBe(4);
    stop();
    settle(99);
    await vi.advanceTimersByTimeAsync(60_000);
    expect([asked, told]).toEqual([4, [1, 2, 'gone']]);
  });
});
