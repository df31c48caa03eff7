import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { MonitorFrameSchema, check, type MonitorFrame } from '@breathline/protocol';
import { TestServer, sleep, type Problem, type TestScreen } from './server.ts';

let server: TestServer;

beforeAll(async () => {
  server = await TestServer.signedIn();
});

afterAll(async () => {
  await server.dispose();
});

const frames = (screen: TestScreen): MonitorFrame[] =>
  screen.received.filter((message): message is MonitorFrame => message.t === 'monitor');

/** Every key anywhere in a value. */
const keysOf = (value: unknown): string[] =>
  typeof value === 'object' && value !== null
    ? [...(Array.isArray(value) ? [] : Object.keys(value)), ...Object.values(value).flatMap(keysOf)]
    : [];

/** All that a monitor may ever be told; anything else is a leak. */
const ALLOWED = new Set(
  `t roleSeq phase restarted notAllRight blank clockMs title shown wave ageYears
   spo2Percent pulsePerMin heartRatePerMin respiratoryRatePerMin etco2MmHg temperatureCelsius glucoseMmolPerL
   bloodPressure systolicMmHg diastolicMmHg meanMmHg takenAtMs failed cuff inflating everyMs nextAtMs attached
   plethFraction oximeterMessage seed rhythm ecgRatePerMin pulsed breathRatePerMin breathDepthFraction
   bronchospasmFraction beatCount breathCount anchor serverMs runMs rate speed sound volumePercent pulseTone alarms
   inSitu playing alarm standing id atMs active motionFraction pausedUntilMs limits may silence probes exhibits chest n seq warnings protocol role screenId again
   code message hint`.split(/\s+/),
);

const numbersOf = (value: unknown): number[] =>
  typeof value === 'number'
    ? [value]
    : typeof value === 'object' && value !== null
      ? Object.values(value).flatMap(numbersOf)
      : [];

describe('a monitor through a whole run', () => {
  it('is told measured values and nothing else, under treatment, override, force, undo, pause, stop and end', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    const seq = () => faculty.faculty.seq;
    const steer = async (command: Parameters<TestScreen['tap']>[0]) => faculty.tap(command, { baseSeq: seq() });

    await faculty.tap({ kind: 'run-started' });
    await sleep(2_400); // A cue falls due at 2 s.
    const bare = monitor.monitor;
    expect(bare.shown).toMatchObject({ spo2Percent: null, heartRatePerMin: null, bloodPressure: null, attached: [] });
    expect(bare.wave).toMatchObject({ ecgRatePerMin: null, rhythm: null, pulsed: null, plethFraction: null });
    expect(bare.wave).toMatchObject({ breathRatePerMin: null, bronchospasmFraction: null, beatCount: null });

    await faculty.tap({ kind: 'device-attached', device: 'ecg' });
    const { seq: dose } = await faculty.tap({
      kind: 'intervention',
      intervention: 'adrenaline-im',
      step: 'given',
      amount: 300,
      unit: 'micrograms',
      doseSeen: true,
      note: 'SECRET-NOTE',
    });
    await sleep(1_200);
    expect(monitor.monitor.wave.rhythm).not.toBeNull();
    expect(monitor.monitor.wave.plethFraction).toBeNull();
    expect(monitor.monitor.shown.spo2Percent).toBeNull();
    await faculty.tap({ kind: 'event-withdrawn', targetSeq: dose, why: 'SECRET-WHY' });
    await sleep(100);
    await steer({ kind: 'vital-overridden', vital: 'spo2Percent', to: 66.125, overMs: 0 });
    await sleep(100);
    await steer({ kind: 'state-forced', thread: 'main', state: 'settled' });
    await faculty.tap({ kind: 'run-paused', why: 'someone-not-all-right' });
    await faculty.tap({ kind: 'run-resumed' });
    await faculty.tap({ kind: 'device-removed', device: 'ecg' });
    await sleep(600);
    expect(monitor.monitor.wave).toMatchObject({ ecgRatePerMin: null, rhythm: null, beatCount: null });
    expect(monitor.monitor.shown.heartRatePerMin).toBeNull();
    await faculty.tap({ kind: 'real-emergency-stop' });
    await faculty.tap({ kind: 'real-emergency-cleared' });
    await steer({ kind: 'run-ended', why: 'SECRET-END' });
    await sleep(400);

    const all = frames(monitor);
    expect(all.length).toBeGreaterThan(15);
    for (const frame of all) expect(check(MonitorFrameSchema, frame)).toMatchObject({ ok: true });
    for (const message of monitor.received) expect(keysOf(message).filter((key) => !ALLOWED.has(key))).toEqual([]);
    const text = monitor.texts.join('\n');
    expect(text).not.toMatch(/SECRET|TELLING|arrival|settled|fault-drill|adrenaline|66\.125|faculty|someone-not/);
    expect(text).not.toContain(runId);
    // Its own numbers, one after another: no gap tells that something was logged.
    const numbers = all.map(({ roleSeq }) => roleSeq);
    expect(numbers).toEqual(numbers.map((_, at) => (numbers[0] ?? 0) + at));
    expect(monitor.monitor.phase).toBe('ended');
  });

  it('shows, once attached, what the probe reads and not what is true', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    await faculty.tap({ kind: 'device-attached', device: 'oximeter' });
    await faculty.tap({ kind: 'run-started' });
    await monitor.until((message) => message.t === 'monitor' && message.shown.spo2Percent !== null, {
      withinMs: 30_000,
    });
    const { view } = faculty.faculty;
    expect(monitor.monitor.shown.spo2Percent).toBe(view.shown.spo2Percent);
    expect(monitor.texts.join('\n')).not.toContain(String(view.trueVitals.spo2Percent));
    expect(Number.isInteger(monitor.monitor.shown.spo2Percent)).toBe(true);
  }, 60_000);

  it('is not told, by a frame out of turn, that a note was written', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    await sleep(300);
    // A run that has not started sends one frame a second; thirty notes within one add none.
    const before = frames(monitor).length;
    for (let note = 0; note < 30; note += 1) await faculty.tap({ kind: 'note', text: 'x' });
    expect(frames(monitor).length - before).toBeLessThanOrEqual(3);
  });
});

describe('stop: a real emergency', () => {
  it('blanks every screen at once, without a number of the patient’s, and can be resumed', async () => {
    const { runId, joinCode } = await server.newRun();
    const [faculty, monitor, second] = [
      await server.faculty(runId),
      await server.monitor(joinCode),
      await server.monitor(joinCode),
    ];
    await faculty.tap({ kind: 'device-attached', device: 'ecg' });
    await faculty.tap({ kind: 'device-attached', device: 'oximeter' });
    await faculty.tap({ kind: 'run-started' });
    await sleep(1_500);
    const stopped = Date.now();
    await monitor.tap({ kind: 'real-emergency-stop' });
    for (const screen of [monitor, second]) {
      await screen.until((message) => message.t === 'monitor' && message.blank, { withinMs: 2_000 });
    }
    await faculty.until((message) => message.t === 'faculty' && message.view.realEmergency, { withinMs: 2_000 });
    expect(Date.now() - stopped).toBeLessThan(2_000);
    const { roleSeq, ...blank } = second.monitor;
    expect(roleSeq).toBeGreaterThan(0);
    expect(numbersOf(blank).filter((value) => value !== 0)).toEqual([]);
    expect(blank).toMatchObject({ phase: 'paused', blank: true, title: '' });
    const { view } = faculty.faculty;
    expect([view.shown.heartRatePerMin, view.shown.spo2Percent, view.doses.length, view.findings.length]).toEqual([
      null,
      null,
      0,
      0,
    ]);
    expect(Object.values(view.trueVitals).filter((value) => value !== 0)).toEqual([]);
    expect([view.results, view.scores]).toEqual([[], []]);
    for (const asked of ['explain?vital=spo2Percent', 'scores']) {
      const { status, body } = await server.call<Problem>('GET', `/api/runs/${runId}/${asked}`);
      expect([asked, status, body.code]).toEqual([asked, 409, 'wrong-phase']);
    }
    // A stray resume does not put vitals back: the stop has to be cleared first.
    expect((await faculty.refused({ kind: 'run-resumed' })).code).toBe('wrong-phase');
    await sleep(500);
    expect(frames(second).at(-1)?.blank).toBe(true);

    await faculty.tap({ kind: 'real-emergency-cleared' });
    await faculty.tap({ kind: 'run-resumed' });
    await second.until((message) => message.t === 'monitor' && !message.blank && message.phase === 'running', {
      from: second.received.length - 3,
    });
    expect(second.monitor.title).toBe('A child unwell');
  });
});
