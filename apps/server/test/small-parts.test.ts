import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRun, type RunDefinition, type ShownVitals, type WaveformDrive } from '@breathline/engine';
import { FacultyFrameSchema, MonitorFrameSchema, check } from '@breathline/protocol';
import { facultyFrame } from '../src/projections/faculty.ts';
import { monitorFrame } from '../src/projections/monitor.ts';
import { ownHost } from '../src/routes/guards.ts';
import { Limiter } from '../src/services/limiter.ts';
import { LibraryService } from '../src/services/library-service.ts';
import { PASSPHRASE_WORDS } from '../src/services/passphrase-words.ts';
import {
  hashPassphrase,
  newJoinCode,
  newPassphrase,
  passphraseMatches,
  plainJoinCode,
} from '../src/services/secrets.ts';
import { giveTexts, takeTexts } from '../src/store/free-text.ts';
import { configFor } from './helpers.ts';

describe('attempts', () => {
  it('are counted within a sliding minute', () => {
    let now = 0;
    const limiter = new Limiter(3, 60_000, () => now);
    for (const at of [0, 10_000, 20_000]) {
      now = at;
      expect(limiter.blocked('a')).toBe(false);
      limiter.fail('a');
    }
    expect(limiter.blocked('a')).toBe(true);
    expect(limiter.blocked('b')).toBe(false);
    now = 60_001;
    expect(limiter.blocked('a')).toBe(false);
  });
});

describe('secrets', () => {
  it('a passphrase has five words of at least 256, and matches however it is typed', async () => {
    expect(new Set(PASSPHRASE_WORDS).size).toBe(PASSPHRASE_WORDS.length);
    expect(PASSPHRASE_WORDS.length).toBeGreaterThanOrEqual(256);
    const passphrase = newPassphrase();
    expect(passphrase.split(' ')).toHaveLength(5);
    const stored = await hashPassphrase(passphrase);
    expect(stored).not.toContain(passphrase.split(' ')[0]);
    expect(await passphraseMatches(passphrase.toUpperCase().replaceAll(' ', '-'), stored)).toBe(true);
    expect(await passphraseMatches(`${passphrase}s`, stored)).toBe(false);
    expect(await passphraseMatches('', stored)).toBe(false);
  });

  it('a join code has six characters that can not be taken for one another', () => {
    for (let at = 0; at < 200; at += 1) expect(newJoinCode()).toMatch(/^[ACDEFGHJKMNPQRTWXY34679]{6}$/);
    expect(plainJoinCode(' acd-efg ')).toBe('ACDEFG');
  });
});

describe('host names answered to', () => {
  it.each([
    ['127.0.0.1', true],
    ['::1', true],
    ['192.168.1.20', true],
    ['localhost', true],
    ['evil.example', false],
    ['127.0.0.1.evil.example', false],
    ['sim.example', true],
  ])('%s: %s', (host, own) => {
    expect(ownHost(host, ['sim.example'])).toBe(own);
  });
});

describe('words beside the log', () => {
  it('come back as they were (property), and a forged row does not', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const taken = takeTexts({ kind: 'note', text });
        if (text.length > 3) expect(JSON.stringify(taken.body)).not.toContain(JSON.stringify(text).slice(1, -1));
        expect(giveTexts(taken.body, taken.texts)).toEqual({ kind: 'note', text });
      }),
    );
    const { body, texts } = takeTexts({ kind: 'note', text: 'said' });
    expect(
      giveTexts(
        body,
        texts.map((row) => ({ ...row, text: 'never said' })),
      ),
    ).toEqual({ kind: 'note', text: '' });
  });
});

/** What a monitor's projection is given beside the run. */
const around = {
  roleSeq: 1,
  learnerTitle: 'safe',
  ageYears: 8,
  anchor: { serverMs: 5, runMs: 1_000, rate: 1 },
  exhibits: [],
  pictureAddress: (file: string) => file,
  soundCapPercent: 100,
  inSitu: false,
  soundNumber: () => 1,
  chest: () => null,
};

describe('the projections', () => {
  it('the monitor’s fits its closed schema whatever is attached, and shows nothing of what is not (property)', async () => {
    const library = new LibraryService(configFor('/tmp').scenariosFolder);
    const { scenario, library: built } = await library.scenario('fault-drill');
    const definition: RunDefinition = { scenario, library: built, packId: 'fixture-pack', seed: 1 };
    const view = createRun(definition).view();
    const devices = ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'] as const;
    // Every number filled in, as if a device that is off still had one.
    const shown: ShownVitals = {
      spo2Percent: 91,
      pulsePerMin: 92,
      heartRatePerMin: 93,
      respiratoryRatePerMin: 94,
      etco2MmHg: 95,
      temperatureCelsius: 96,
      glucoseMmolPerL: 97,
      bloodPressure: { systolicMmHg: 98, diastolicMmHg: 98, meanMmHg: 98, takenAtMs: 98 },
      cuff: { inflating: true, everyMs: 98, nextAtMs: 98 },
      attached: [],
      plethFraction: 0.91,
      oximeterMessage: 'low perfusion',
    };
    const wave: WaveformDrive = {
      seed: 5,
      rhythm: 'sinus',
      ecgRatePerMin: 93,
      pulsed: true,
      plethFraction: 0.91,
      breathRatePerMin: 94,
      breathDepthFraction: 0.94,
      bronchospasmFraction: 0.95,
      etco2MmHg: 95,
      beatCount: 93,
      breathCount: 94,
      motionFraction: 0.97,
    };
    fc.assert(
      fc.property(fc.subarray([...devices]), fc.boolean(), (attached, realEmergency) => {
        const leaky = { ...view, realEmergency, shown: { ...shown, attached }, wave, extra: 'SECRET' } as typeof view;
        const frame = monitorFrame({ ...around, view: leaky });
        expect(check(MonitorFrameSchema, frame)).toMatchObject({ ok: true });
        expect(frame.blank).toBe(realEmergency);
        const text = JSON.stringify({ ...frame, clockMs: 0 });
        expect(text).not.toMatch(/SECRET|TELLING/);
        const has = (device: (typeof devices)[number]) => !realEmergency && attached.includes(device);
        expect([frame.shown.spo2Percent, frame.wave.plethFraction]).toEqual(
          has('oximeter') ? [91, 0.91] : [null, null],
        );
        expect([frame.shown.heartRatePerMin, frame.wave.rhythm]).toEqual(has('ecg') ? [93, 'sinus'] : [null, null]);
        expect([frame.shown.etco2MmHg, frame.wave.bronchospasmFraction]).toEqual(
          has('capnography') ? [95, 0.95] : [null, null],
        );
        expect(frame.shown.bloodPressure === null).toBe(!has('bp-cuff'));
        expect(frame.shown.temperatureCelsius).toBe(has('thermometer') ? 96 : null);
        expect(frame.shown.glucoseMmolPerL).toBe(has('glucose-meter') ? 97 : null);
        const breaths = has('ecg') || has('capnography');
        expect([frame.shown.respiratoryRatePerMin, frame.wave.breathRatePerMin]).toEqual(
          breaths ? [94, 94] : [null, null],
        );
      }),
    );
  });

  it('faculty lose every number of the patient too while a real emergency is on, and nothing else of the frame', async () => {
    const { scenario, library } = await new LibraryService(configFor('/tmp').scenariosFolder).scenario('fault-drill');
    const running = createRun({ scenario, library, packId: 'fixture-pack', seed: 1 });
    const base = { take: 1, appliedAtMs: 0, occurredAtMs: 0, wallTime: '', by: { role: 'lead' } } as const;
    running.apply({ ...base, seq: 1, kind: 'run-started' });
    running.apply({ ...base, seq: 2, kind: 'device-attached', device: 'oximeter' });
    running.apply({ ...base, seq: 3, kind: 'vital-overridden', vital: 'heartRatePerMin', to: 150, overMs: 0 });
    running.advanceTo(5_000);
    const source = {
      roleSeq: 1,
      seq: 4,
      log: [],
      derived: [],
      screens: { monitors: 1, faculty: 1 },
      joinCode: 'ABCDEF',
      crewCode: 'ABCDEFGH',
      awayMs: null,
      anchor: around.anchor,
    };
    const live = running.view();
    expect(facultyFrame({ ...source, view: live }).view).toBe(live);
    const frame = facultyFrame({ ...source, view: { ...live, realEmergency: true, faults: ['HR 12'] } });
    expect(check(FacultyFrameSchema, frame)).toMatchObject({ ok: true });
    const { clockMs, take, phase, ...rest } = frame.view;
    expect([clockMs, take, phase]).toEqual([5_000, 1, 'running']);
    // Of the rest no number but nought is left (times in a state and the speed are the run's, not the patient's).
    const told = {
      ...rest,
      live: { ...rest.live, speed: 0 },
      threads: rest.threads.map((thread) => ({ ...thread, sinceMs: 0 })),
    };
    expect(JSON.stringify(told).replace(/"(id|title|state|stateTitle)":"[^"]*"/g, '')).not.toMatch(/:-?\d*[1-9]/);
    expect(JSON.stringify(told)).not.toMatch(/HR 12/);
    expect(rest).toMatchObject({ doses: [], findings: [], results: [], scores: [], cuesDue: [], overridden: [] });
  });
});
