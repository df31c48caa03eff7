import { describe, expect, it } from 'vitest';
import {
  alarmBurst,
  alarmLimits,
  burstLengthMs,
  createAlarms,
  type AlarmReadings,
  type Alarms,
  type BurstStart,
} from '../src/index.ts';

/** A well child of seven with everything on. Invented numbers. */
const WELL: AlarmReadings = {
  heartRatePerMin: 92,
  spo2Percent: 98,
  respiratoryRatePerMin: 20,
  systolicMmHg: 104,
  etco2MmHg: 38,
  temperatureCelsius: 36.8,
  glucoseMmolPerL: 5.4,
  rhythm: 'sinus',
  leadsOn: true,
  probeOn: true,
  cuffOn: true,
  co2LineOn: true,
  probe: 'good',
  cuffFailed: false,
  pausedUntilMs: null,
};

// 1st and 99th centile of heart and breathing rate at 6 to 8 years (Fleming S et al. Lancet 2011;377:1011-18); lower
// pressure limit 70 + 2 x age (paediatric advanced life support); upper invented.
const SEVEN = {
  heartRatePerMin: { low: 59, high: 123 },
  respiratoryRatePerMin: { low: 16, high: 27 },
  systolicMmHg: { low: 84, high: 125 },
};
const LIMITS = alarmLimits(SEVEN);

/** Feeds four frames a second from a schedule of changes. */
function run(
  toMs: number,
  change: (atMs: number) => Partial<AlarmReadings>,
  { limits = LIMITS, stepMs = 250, alarms = createAlarms() } = {},
): { alarms: Alarms; at: (ms: number) => string[]; bursts: readonly BurstStart[] } {
  const seen = new Map<number, string[]>();
  const bursts: BurstStart[] = [];
  for (let t = 0; t <= toMs; t += stepMs) {
    alarms.push(t, { ...WELL, ...change(t) }, limits);
    seen.set(
      t,
      alarms.stateAt(t).alarms.map((alarm) => `${alarm.id}:${alarm.priority}:${alarm.active ? 'on' : 'kept'}`),
    );
    bursts.push(...alarms.burstsBetween(t, t + stepMs));
  }
  return { alarms, at: (ms) => seen.get(ms) ?? [], bursts };
}

describe('limits', () => {
  it('say nothing of a well child and speak of each number just outside', () => {
    expect(run(60_000, () => ({})).at(60_000)).toEqual([]);
    const outside: Partial<AlarmReadings>[] = [
      { heartRatePerMin: 124 },
      { heartRatePerMin: 58 },
      { spo2Percent: 91 },
      { respiratoryRatePerMin: 28 },
      { respiratoryRatePerMin: 15 },
      { systolicMmHg: 83 },
      { etco2MmHg: 53 },
      { etco2MmHg: 27 },
    ];
    for (const part of outside) {
      const said = run(20_000, () => part).at(20_000);
      expect(said, JSON.stringify(part)).toHaveLength(1);
      expect(said[0]).toMatch(/:medium:on$/);
    }
    for (const part of [{ heartRatePerMin: 123 }, { spo2Percent: 92 }, { systolicMmHg: 84 }])
      expect(run(20_000, () => part).at(20_000)).toEqual([]);
  });

  it('call far outside high, and only that', () => {
    for (const part of [
      { heartRatePerMin: 160 },
      { spo2Percent: 80 },
      { systolicMmHg: 60 },
      { respiratoryRatePerMin: 6 },
    ]) {
      const said = run(20_000, () => part).at(20_000);
      expect(said).toHaveLength(1);
      expect(said[0]).toMatch(/-far-.*:high:on$/);
    }
  });

  it('are what faculty set, each side apart, and nonsense changes nothing', () => {
    const limits = alarmLimits(SEVEN, [
      { vital: 'spo2Percent', low: 97, high: null },
      { vital: 'heartRatePerMin', low: null, high: null },
      { vital: 'shoe-size', low: 1, high: 2 },
      { vital: 'etco2MmHg', low: NaN, high: Infinity },
    ]);
    expect(run(20_000, () => ({ spo2Percent: 96 }), { limits }).at(20_000)).toEqual(['spo2Percent-low:medium:on']);
    expect(run(20_000, () => ({ heartRatePerMin: 240, etco2MmHg: 5 }), { limits }).at(20_000)).toEqual([]);
  });
});

describe('time', () => {
  it('a number must stay outside for its delay, and a dip shorter than that is no alarm', () => {
    const dip = run(30_000, (t) => (t >= 10_000 && t < 14_000 ? { spo2Percent: 90 } : {}));
    for (let t = 0; t <= 30_000; t += 250) expect(dip.at(t)).toEqual([]);
    const stays = run(30_000, (t) => (t >= 10_000 ? { spo2Percent: 90 } : {}));
    expect(stays.at(15_750)).toEqual([]);
    expect(stays.at(16_000)).toEqual(['spo2Percent-low:medium:on']);
  });

  it('a pressure alarms with its reading; no breath after fifteen seconds', () => {
    expect(run(5000, (t) => (t >= 1000 ? { systolicMmHg: 80 } : {})).at(1000)).toHaveLength(1);
    const still = run(40_000, (t) => (t >= 10_000 ? { respiratoryRatePerMin: 0, etco2MmHg: 0 } : {}));
    expect(still.at(24_750)).toEqual([]);
    expect(still.at(25_000)).toEqual(['no-breath:high:on']);
  });

  it('a number on the edge does not chatter', () => {
    const edge = run(60_000, (t) => (t >= 10_000 ? { spo2Percent: t % 2000 < 1000 ? 91 : 92 } : {}));
    // One second in, one second out: never long enough to begin.
    for (let t = 0; t <= 60_000; t += 250) expect(edge.at(t)).toEqual([]);
    const begun = run(60_000, (t) => (t < 10_000 ? {} : { spo2Percent: t < 20_000 || t % 2000 < 1000 ? 91 : 92 }));
    for (let t = 17_000; t <= 60_000; t += 250) expect(begun.at(t)).toEqual(['spo2Percent-low:medium:on']);
  });

  it('is the run clock alone: a lost frame and a late screen come to the same alarms', () => {
    const story = (t: number): Partial<AlarmReadings> => ({
      spo2Percent: t < 20_000 ? 98 : 88,
      heartRatePerMin: t < 30_000 ? 92 : 170,
    });
    const whole = run(60_000, story);
    const lossy = run(60_000, story, { stepMs: 500 });
    expect(lossy.at(60_000)).toEqual(whole.at(60_000));
    const onset = (alarms: Alarms): number[] => alarms.stateAt(60_000).alarms.map((alarm) => alarm.atMs);
    expect(onset(lossy.alarms)).toEqual(onset(whole.alarms));
    // Bursts: the same grid of the run clock once both have heard the beginning.
    const late = createAlarms();
    const heard: BurstStart[] = [];
    for (let t = 40_000; t <= 60_000; t += 250) {
      late.push(t, { ...WELL, ...story(t) }, LIMITS);
      if (t >= 45_000) heard.push(...late.burstsBetween(t, t + 250));
    }
    const after = (list: readonly BurstStart[]): number[] => list.map((b) => b.atMs).filter((t) => t > 47_000);
    expect(after(heard).length).toBeGreaterThan(0);
    expect(after(heard)).toEqual(after(whole.bursts).filter((t) => t <= 60_250));
  });

  it('starts again when the clock is wound back', () => {
    const alarms = createAlarms();
    run(30_000, () => ({ spo2Percent: 70 }), { alarms });
    expect(alarms.stateAt(30_000).alarms).toHaveLength(1);
    alarms.push(5000, WELL, LIMITS);
    expect(alarms.stateAt(5000).alarms).toEqual([]);
  });
});

describe('priorities', () => {
  it('the worst comes first, and a stopped heart is not also a slow one', () => {
    const said = run(30_000, () => ({
      rhythm: 'asystole',
      heartRatePerMin: 0,
      respiratoryRatePerMin: 0,
      spo2Percent: null,
      probe: 'lost',
      etco2MmHg: 20,
      temperatureCelsius: 34,
    })).at(30_000);
    expect(said[0]).toBe('flat-line:high:on');
    expect(said.join()).not.toContain('heartRate');
    expect(said.map((text) => text.split(':')[1])).toEqual(
      [...said.map((text) => text.split(':')[1])].sort(
        (a, b) => ['high', 'medium', 'low'].indexOf(a!) - ['high', 'medium', 'low'].indexOf(b!),
      ),
    );
  });

  it.each([
    ['ventricular-fibrillation', 'no-rhythm:high:on'],
    ['vt', 'broad-fast:high:on'],
  ])('%s has words of its own', (rhythm, expected) => {
    expect(run(10_000, () => ({ rhythm })).at(10_000)).toContain(expected);
  });

  it('a probe that was never on cannot come off; one that was says so in low priority', () => {
    const never = { probeOn: false, leadsOn: false, co2LineOn: false, cuffOn: false, spo2Percent: null };
    expect(run(20_000, () => never).at(20_000)).toEqual([]);
    const off = run(20_000, (t) =>
      t < 5000 ? {} : { ...never, heartRatePerMin: null, etco2MmHg: null, respiratoryRatePerMin: null, rhythm: null },
    );
    expect([...off.at(20_000)].sort()).toEqual(['leads-off:low:on', 'line-off:low:on', 'probe-off:low:on']);
  });

  it('technical troubles are told apart: no pulse found, weak, moved, cuff failed', () => {
    expect(run(20_000, () => ({ probe: 'lost' })).at(20_000)).toEqual(['probe-lost:medium:on']);
    expect(run(20_000, () => ({ probe: 'weak' })).at(20_000)).toEqual(['probe-weak:low:on']);
    expect(run(20_000, () => ({ probe: 'movement' })).at(20_000)).toEqual(['probe-moved:low:on']);
    expect(run(20_000, () => ({ cuffFailed: true, systolicMmHg: null })).at(250)).toEqual(['cuff-failed:medium:on']);
  });
});

describe('latching and pause', () => {
  const dip = (t: number): Partial<AlarmReadings> => (t >= 5000 && t < 20_000 ? { spo2Percent: 70 } : {});

  it('a high alarm is kept after it is over, until somebody pauses the sound; a medium one is not', () => {
    const kept = run(60_000, (t) => ({ ...dip(t), pausedUntilMs: t >= 50_000 ? 110_000 : null }));
    expect(kept.at(15_000)).toEqual(['spo2Percent-far-low:high:on']);
    expect(kept.at(40_000)).toEqual(['spo2Percent-far-low:high:kept']);
    expect(kept.at(50_000)).toEqual([]);
    const medium = run(60_000, (t) => (t >= 5000 && t < 20_000 ? { spo2Percent: 90 } : {}));
    expect(medium.at(15_000)).toHaveLength(1);
    expect(medium.at(24_000)).toEqual([]);
  });

  it('a pause quiets the sound until its time, keeps the words, and what still stands is heard at once after it', () => {
    const paused = run(60_000, (t) => ({
      spo2Percent: t >= 5000 ? 70 : 98,
      pausedUntilMs: t >= 15_000 && t < 40_000 ? 40_000 : null,
    }));
    expect(paused.at(30_000)).toEqual(['spo2Percent-far-low:high:on']);
    expect(paused.bursts.filter((burst) => burst.atMs > 15_300 && burst.atMs < 40_000)).toEqual([]);
    expect(paused.bursts.find((burst) => burst.atMs >= 40_000)!.atMs).toBeLessThan(40_600);
  });

  it('a screen that joins late, or sees every third frame, and is told what stands shows the same at every frame', () => {
    const story = (t: number): Partial<AlarmReadings> => ({
      ...dip(t),
      ...(t >= 22_000 ? { leadsOn: false, heartRatePerMin: 92, rhythm: null } : {}),
      heartRatePerMin: t >= 41_000 && t < 52_000 ? 150 : 92,
      temperatureCelsius: t >= 10_000 ? 39.5 : 36.8,
      pausedUntilMs: t >= 55_000 ? 100_000 : null,
    });
    const whole = createAlarms();
    const screens = [12_000, 19_500, 30_000, 43_000, 53_000].map((fromMs) => ({ fromMs, alarms: createAlarms() }));
    const sparse = createAlarms();
    const told = (t: number) => whole.stateAt(t).alarms.map(({ id, atMs, active }) => ({ id, atMs, active }));
    for (let t = 0; t <= 60_000; t += 250) {
      const now = { ...WELL, ...story(t) };
      whole.push(t, now, LIMITS);
      for (const { fromMs, alarms } of screens) {
        if (t < fromMs) continue;
        alarms.push(t, now, LIMITS, told(t));
        expect(alarms.stateAt(t)).toEqual(whole.stateAt(t));
      }
      if (t % 750 === 0) {
        sparse.push(t, now, LIMITS, told(t));
        expect(sparse.stateAt(t)).toEqual(whole.stateAt(t));
      }
    }
    expect(screens[2]!.alarms.stateAt(60_000).alarms.map(({ id }) => id)).toContain('leads-off');
  });

  it('a kept alarm makes no sound', () => {
    const { bursts } = run(60_000, dip);
    expect(bursts.length).toBeGreaterThan(0);
    expect(bursts.filter((burst) => burst.atMs > 24_000)).toEqual([]);
  });
});

/*
 * Rest between bursts, from an open tone-generator script that cites IEC 60601-1-8 (table 3): high 2.5 to 15 s, low more
 * than 15 s; medium 2.5 to 30 s is from memory.
 */
describe('bursts', () => {
  it.each([
    ['high', { spo2Percent: 70 }, 2500, 15_000],
    ['medium', { spo2Percent: 90 }, 2500, 30_000],
    ['low', { temperatureCelsius: 39.5 }, 15_000, Infinity],
  ] as const)('%s: begins with its alarm and rests as it should', (priority, part, least, most) => {
    const { bursts, alarms } = run(180_000, (t) => (t >= 5000 ? part : {}));
    const begun = alarms.stateAt(180_000).alarms[0]!.atMs;
    expect(bursts.length).toBeGreaterThan(5);
    expect(bursts[0]!.atMs - begun).toBeGreaterThanOrEqual(0);
    expect(bursts[0]!.atMs - begun).toBeLessThanOrEqual(250);
    const length = burstLengthMs(alarmBurst(priority));
    bursts.slice(1).forEach((burst, i) => {
      expect(burst.priority).toBe(priority);
      const rest = burst.atMs - bursts[i]!.atMs - length;
      expect(rest).toBeGreaterThanOrEqual(least);
      expect(rest).toBeLessThanOrEqual(most);
    });
  });

  it('a worse alarm breaks in; asking again for the same time gives the same', () => {
    const alarms = createAlarms();
    const { bursts } = run(40_000, (t) => (t < 5000 ? {} : t < 20_000 ? { spo2Percent: 90 } : { spo2Percent: 70 }), {
      alarms,
    });
    expect(bursts.find((burst) => burst.priority === 'high')!.atMs).toBeLessThan(23_500);
    expect(alarms.burstsBetween(30_000, 40_000)).toEqual(bursts.filter((b) => b.atMs > 30_000 && b.atMs <= 40_000));
  });
});
