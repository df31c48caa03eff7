/** What a dose does is seen where a team looks: on the monitor, through the devices, with their lag and their gaps. */
import { describe, expect, it } from 'vitest';
import { createRun } from '@breathline/engine';
import type { EventBody, RunDefinition, RunEvent, ShownVitals } from '@breathline/engine';
import type { Intervention } from '@breathline/scenario';
import { INTERVENTIONS, LIBRARY, PACK, give, scenarioOf, state, thread } from '../../packages/engine/test/fixtures.ts';

const IV: Intervention = {
  ...INTERVENTIONS.find((item) => item.id === 'adrenaline-im')!,
  id: 'adrenaline-iv',
  name: 'adrenaline iv',
  route: 'iv',
  routes: ['iv'],
};

function drill(ageYears: number, weightKg: number, mediators: number): RunDefinition {
  const scenario = scenarioOf([
    thread('illness', [
      state('ill', { drives: [{ kind: 'drive', drive: 'mediators', to: mediators, overMs: 60_000 }] }),
    ]),
  ]);
  return {
    scenario: { ...scenario, patient: { ...scenario.patient, ageYears, weightKg, illness: [{ disease: 'anaphylaxis', pattern: 'food' }] } }, // prettier-ignore
    library: { ...LIBRARY, interventions: [...INTERVENTIONS, IV] },
    packId: PACK.id,
    seed: 11,
  };
}

interface Seen {
  /** Most that the screen showed after the dose, and least. */
  readonly most: Record<'heartRatePerMin' | 'pulsePerMin' | 'systolic' | 'spo2Percent', number>;
  readonly rhythms: ReadonlySet<string>;
}

/** What the monitor shows in the four minutes after a dose at 3 min. */
function watch(definition: RunDefinition, body: EventBody | null): Seen {
  const run = createRun(definition);
  let seq = 0;
  const put = (one: EventBody) => {
    seq++;
    run.apply({ seq, take: 1, appliedAtMs: run.clockMs, occurredAtMs: run.clockMs, wallTime: '2026-01-01T00:00:00.000Z', by: { role: 'lead' }, ...one } as RunEvent); // prettier-ignore
  };
  put({ kind: 'run-started' });
  for (const device of ['oximeter', 'ecg', 'bp-cuff'] as const) put({ kind: 'device-attached', device });
  put({ kind: 'cuff-interval', everyMs: 60_000 });
  run.advanceTo(180_000);
  if (body !== null) put(body);
  const most = { heartRatePerMin: 0, pulsePerMin: 0, systolic: 0, spo2Percent: 0 };
  const rhythms = new Set<string>();
  for (let at = 181_000; at <= 420_000; at += 1000) {
    run.advanceTo(at);
    const view = run.view();
    const shown: ShownVitals = view.shown;
    most.heartRatePerMin = Math.max(most.heartRatePerMin, shown.heartRatePerMin ?? 0);
    most.pulsePerMin = Math.max(most.pulsePerMin, shown.pulsePerMin ?? 0);
    most.spo2Percent = Math.max(most.spo2Percent, shown.spo2Percent ?? 0);
    const pressure = shown.bloodPressure;
    if (pressure !== null && pressure.takenAtMs > 182_000)
      most.systolic = Math.max(most.systolic, pressure.systolicMmHg ?? 0);
    rhythms.add(String(view.wave.rhythm));
  }
  return { most, rhythms };
}

describe('a tenfold intravenous dose of adrenaline is seen on the monitor', () => {
  // Label text (from memory): overdose by vein gives a fast pulse, a very high pressure and ventricular arrhythmia. 1
  // microgram/kg, at most 50 micrograms, is the usual intravenous dose (RCUK 2021), given by those who know how.
  it.each([
    ['child of 7, 23 kg', 7, 23, 23],
    ['adult of 40, 70 kg', 40, 70, 50],
  ])('%s', (_name, ageYears, weightKg, micrograms) => {
    const definition = drill(ageYears, weightKg, 0.35);
    const none = watch(definition, null);
    const usual = watch(definition, give('adrenaline-iv', micrograms, 'micrograms'));
    const tenfold = watch(definition, give('adrenaline-iv', 10 * micrograms, 'micrograms'));
    // The cuff shows it first; the rate rises less, since a high pressure reins it in.
    expect(tenfold.most.systolic).toBeGreaterThan(usual.most.systolic + 30);
    expect(tenfold.most.systolic).toBeGreaterThan(none.most.systolic + 40);
    expect(tenfold.most.heartRatePerMin).toBeGreaterThan(usual.most.heartRatePerMin + 4);
    expect(tenfold.most.pulsePerMin).toBeGreaterThan(usual.most.pulsePerMin + 4);
    // The usual dose alarms nobody.
    expect(usual.most.systolic).toBeLessThan(165);
  });
  it('a hundredfold dose breaks the rhythm on the trace; the usual one does not', () => {
    const definition = drill(40, 70, 0.35);
    const usual = watch(definition, give('adrenaline-iv', 50, 'micrograms'));
    const vast = watch(definition, give('adrenaline-iv', 2000, 'micrograms'));
    const broken = (seen: Seen) => [...seen.rhythms].some((id) => /ventricular/.test(id));
    expect(broken(usual)).toBe(false);
    expect(broken(vast)).toBe(true);
  });
});
