/** Alarms a screen did not see begin: told by the server, which has watched since the run began, or watched it again. */
import { beforeAll, describe, expect, it } from 'vitest';
import type { EventBody, RunDefinition, RunEvent } from '@breathline/engine';
import { IN_SITU_ITEM, MonitorFrameSchema, alarmRanges, check, type MonitorFrame } from '@breathline/protocol';
import { alarmLimits, alarmReadings, createAlarms } from '@breathline/signals';
import { liveEngine } from '../src/services/engine-port.ts';
import { LibraryService } from '../src/services/library-service.ts';
import { LiveRun } from '../src/services/live-run.ts';
import { Screens } from '../src/services/screens.ts';
import type { EventStore } from '../src/store/event-store.ts';
import type { RunHead } from '../src/store/run-store.ts';
import { configFor } from './helpers.ts';

let definition: RunDefinition;
beforeAll(async () => {
  const { scenario, library } = await new LibraryService(configFor('/tmp').scenariosFolder).scenario('fault-drill');
  definition = { scenario, library, packId: 'fixture-pack', seed: 1 };
});

const LOG: readonly [number, EventBody][] = [
  [0, { kind: 'run-started' }],
  [0, { kind: 'device-attached', device: 'oximeter' }],
  [1_000, { kind: 'device-attached', device: 'ecg' }],
  [20_000, { kind: 'vital-overridden', vital: 'spo2Percent', to: 60, overMs: 0 }],
  [60_000, { kind: 'vital-overridden', vital: 'spo2Percent', to: 99, overMs: 0 }],
  [80_000, { kind: 'device-removed', device: 'ecg' }],
];

/** The run put back from its log up to a moment, as after a restart of the server. */
const back = (
  clockMs: number,
  more: readonly [number, EventBody][] = [],
  reachedMs = clockMs,
  inSitu = false,
): Screens => {
  const body = { definition, scenarioText: null, derived: null };
  const run = new LiveRun({
    head: { runId: 'r', endedAt: null, imported: false, scoredTake: 1 } as RunHead,
    body,
    makeEngine: (options) => liveEngine(body, options),
    events: {} as EventStore,
    onApplied: () => undefined,
  });
  const screens = new Screens(run, {
    nowMs: () => 0,
    soundCapPercent: () => 50,
    inSitu: () => inSitu,
    pictureAddress: () => '',
  });
  const stored = [...LOG.filter(([atMs]) => atMs <= reachedMs), ...more].map(([appliedAtMs, event], at) => ({
    event: {
      ...event,
      seq: at + 1,
      take: event.kind === 'wound-back' ? 2 : 1,
      appliedAtMs,
      occurredAtMs: appliedAtMs,
      wallTime: '',
      by: { role: 'lead', seat: 'a' },
    } as RunEvent,
    requestHash: null,
    warnings: [],
  }));
  run.replay(stored, clockMs, undefined, () => void screens.watch());
  return screens;
};

const frameOf = (screens: Screens): MonitorFrame => {
  const frame = screens.monitorFrame();
  expect(check(MonitorFrameSchema, frame)).toMatchObject({ ok: true });
  return frame!;
};

const said = ({ alarm }: MonitorFrame) => alarm?.standing?.map(({ id, active }) => `${id}:${active ? 'on' : 'kept'}`);

it('what was latched is kept over a restart and told to a screen that joins late, until somebody pauses the sound', () => {
  expect(said(frameOf(back(55_000)))).toContain('spo2Percent-far-low:on');
  const frame = frameOf(back(120_000));
  expect(said(frame)).toEqual(expect.arrayContaining(['spo2Percent-far-low:kept', 'leads-off:on']));
  const kept = frame.alarm?.standing?.find(({ id }) => id === 'spo2Percent-far-low');
  expect(kept?.atMs).toBeGreaterThan(20_000);
  expect(kept?.atMs).toBeLessThan(60_000);

  // A screen whose first frame is this one shows them all; without being told it would show none.
  const limits = alarmLimits(alarmRanges(frame.ageYears));
  const [late, alone] = [createAlarms(), createAlarms()];
  late.push(frame.clockMs, alarmReadings(frame), limits, frame.alarm?.standing);
  alone.push(frame.clockMs, alarmReadings(frame), limits);
  const shown = late.stateAt(frame.clockMs).alarms.map(({ id, atMs, active }) => ({ id, atMs, active }));
  expect(shown).toEqual(frame.alarm?.standing);
  expect(alone.stateAt(frame.clockMs).alarms).toEqual([]);

  const paused = frameOf(back(120_000, [[100_000, { kind: 'alarm-paused', forMs: 60_000 }]]));
  expect(said(paused)).toEqual(['leads-off:on']);
});

it('winding back forgets what had not happened then; a real emergency tells nothing', () => {
  const wound: EventBody = { kind: 'wound-back', toMs: 10_000, fromTake: 1, leftAtMs: 100_000 };
  const again = back(15_000, [[10_000, wound]], 100_000);
  expect(said(frameOf(again))?.filter((text) => text.endsWith('kept'))).toEqual([]);
  const stop = frameOf(back(120_000, [[100_000, { kind: 'real-emergency-stop' }]]));
  expect(stop).not.toHaveProperty('alarm');
});

describe('real patients near', () => {
  const tick = (done: boolean): [number, EventBody] => [1000, { kind: 'prebrief-item', item: IN_SITU_ITEM, done }];

  it("the run's own board has the last word, the site's rule where it says nothing", () => {
    expect(frameOf(back(1000)).inSitu).toBe(false);
    expect(frameOf(back(1000, [], 1000, true)).inSitu).toBe(true);
    expect(frameOf(back(1000, [tick(true)])).inSitu).toBe(true);
    expect(frameOf(back(1000, [tick(false)], 1000, true)).inSitu).toBe(false);
    expect(frameOf(back(1000, [tick(true), tick(false)])).inSitu).toBe(false);
  });
});
