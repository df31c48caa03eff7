import { describe, expect, it } from 'vitest';
import { commandWarnings, suggestForRun, type EventBody } from '../src/index.ts';
import { give, REACTION } from './fixtures.ts';
import { started } from './helpers.ts';

const { run } = started(REACTION);
const view = run.view();
const codes = (body: EventBody): string[] => commandWarnings(REACTION, view, body).map((warning) => warning.code);
const dose = (amount: number | null, rest: object = {}): EventBody =>
  ({ ...give('adrenaline-im', amount, 'micrograms'), ...rest }) as EventBody;

describe('doses', () => {
  it('come from the pack by age band or by weight, with concentration and volume', () => {
    // 7 years: the band 6 to under 12 of the test pack; 300 micrograms of 1 mg/mL is 0.3 mL (arithmetic).
    expect(suggestForRun(REACTION, 'adrenaline-im')).toMatchObject({
      amount: 300,
      unit: 'micrograms',
      concentration: { label: '1 mg/mL' },
      volumeMl: 0.3,
    });
    // 23 kg x 10 mL/kg (arithmetic).
    expect(suggestForRun(REACTION, 'saline')).toMatchObject({ amount: 230, unit: 'mL' });
    expect(suggestForRun(REACTION, 'saline', 80)).toMatchObject({ amount: 500 });
    expect(suggestForRun(REACTION, 'oxygen')).toBeNull();
  });

  it('an amount nobody knows is answered as the pack’s dose', () => {
    const at = (amount: number | null): number => {
      const other = started(REACTION);
      other.put(give('adrenaline-im', amount, 'micrograms'));
      other.run.advanceTo(200_000);
      return other.run.view().trueVitals.heartRatePerMin;
    };
    expect(at(null)).toBe(at(300));
  });

  it('a backdated dose acts now, advanced by the lag', () => {
    const effect = (occurredAtMs: number): number => {
      const other = started(REACTION);
      other.run.advanceTo(120_000);
      other.put(give('adrenaline-im', 300, 'micrograms'), { occurredAtMs });
      other.run.advanceTo(180_000);
      return other.run.view().trueVitals.systolicMmHg;
    };
    expect(effect(0)).not.toBe(effect(120_000));
    const other = started(REACTION);
    other.run.advanceTo(120_000);
    other.put(give('adrenaline-im', 300, 'micrograms'), { occurredAtMs: 30_000 });
    expect(other.run.view().doses[0]!.atMs).toBe(30_000);
  });
});

describe('cautions', () => {
  it('are silent for the pack’s own dose', () => {
    expect(codes(dose(300, { route: 'im', site: 'thigh', concentration: '1 mg/mL', volumeMl: 0.3 }))).toEqual([]);
    expect(codes(give('adrenaline-im', 0.3, 'mg'))).toEqual([]);
  });

  it.each<[string, EventBody]>([
    ['dose-tenfold', dose(3000)],
    ['dose-far-above', dose(700)],
    ['dose-tenth', dose(30)],
    ['dose-far-below', dose(140)],
    ['dose-differs', dose(200)],
    ['dose-not-positive', dose(-300)],
    ['dose-not-positive', dose(NaN)],
    ['dose-unknown', dose(null)],
    ['dose-without-unit', give('adrenaline-im', 300)],
    ['unit-does-not-fit', give('adrenaline-im', 3, 'mL')],
    ['dose-tenfold', give('adrenaline-im', 300, 'mg')],
    ['dose-above-ceiling', dose(1500)],
    ['volume-does-not-match', dose(300, { concentration: '1 mg/mL', volumeMl: 3 })],
    ['volume-not-positive', dose(300, { concentration: '1 mg/mL', volumeMl: -3 })],
    ['flag-unknown', { kind: 'faculty-flag', label: 'nobody waits for this' }],
    ['strength-for-route', dose(300, { concentration: '100 micrograms/mL', route: 'im' })],
    ['route-unusual', dose(300, { route: 'iv' })],
    ['weight-differs', dose(300, { weightUsedKg: 32 })],
    ['flow-absurd', { ...give('oxygen', null), flowLPerMin: -2 } as EventBody],
    ['intervention-unknown', give('moon-dust', 1)],
    ['cuff-off', { kind: 'cuff-pressed' }],
    ['cuff-interval-short', { kind: 'cuff-interval', everyMs: 1000 }],
    ['value-out-of-bounds', { kind: 'vital-overridden', vital: 'spo2Percent', to: 140, overMs: 0 }],
    ['state-unknown', { kind: 'state-forced', thread: 'illness', state: 'limbo' }],
  ])('%s', (code, body) => {
    expect(codes(body)).toContain(code);
  });

  it('say the dose with its unit, strength and volume, and that it is training only', () => {
    const [first] = commandWarnings(REACTION, view, dose(3000));
    expect(first!.message.replaceAll('\u00a0', ' ')).toBe(
      '3 mg is about 10 times the usual. The pack’s dose is 300 micrograms = 0.3 mL of 1 mg/mL (training only).',
    );
  });
});

describe('assessments', () => {
  it('reveal what the formulary says and no more', () => {
    const { run: other, put } = started(REACTION);
    other.advanceTo(60_000);
    put({ kind: 'assessment', intervention: 'look-at-breathing' });
    put({ kind: 'assessment', intervention: 'count-pulse' });
    put({ kind: 'assessment', intervention: 'say-hello' });
    const { revealed, findings } = other.view();
    const breathing = findings.filter((finding) => finding.letter === 'breathing').map((finding) => finding.id);
    expect(breathing.length).toBeGreaterThan(0);
    expect(revealed.filter((each) => each.seq === 2).map((each) => each.finding.id)).toEqual(breathing);
    expect(revealed.filter((each) => each.seq === 3).map((each) => each.finding.id)).toEqual(['vital-pulseRatePerMin']);
    expect(revealed.filter((each) => each.seq === 4)).toEqual([]);
    expect(revealed.every((each) => each.atMs === 60_000)).toBe(true);
  });
});
