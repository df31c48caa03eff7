import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { createRun, type EventBody, type RunDefinition, type RunEvent, type RunView } from '@breathline/engine';
import { SIGNS, type FamilyMember, type Scenario } from '@breathline/scenario';
import { CrewFrameSchema, MonitorFrameSchema, check } from '@breathline/protocol';
import { chestSounds } from '../src/projections/chest.ts';
import { crewFrame, type CrewSource } from '../src/projections/crew.ts';
import { monitorFrame, type MonitorSource } from '../src/projections/monitor.ts';
import { LibraryService } from '../src/services/library-service.ts';
import { configFor } from './helpers.ts';

const FAMILY: FamilyMember[] = [
  {
    who: 'Aunt',
    says: 'Worried.',
    distress: 1,
    history: [{ id: 'sesame', ifAsked: 'What did he eat?', says: 'A bun with seeds.' }],
    worries: [{ id: 'breathing', says: 'He does not breathe right.', why: 'She has seen it before.' }],
  },
];

let scenario: Scenario;
let definition: RunDefinition;

beforeAll(async () => {
  const loaded = await new LibraryService(configFor('/tmp').scenariosFolder).scenario('fault-drill');
  scenario = {
    ...loaded.scenario,
    family: FAMILY,
    behaviours: [
      { id: 'leads', says: 'Someone leads aloud' },
      { id: 'loop', says: 'Closes the loop' },
    ],
    exhibits: [
      { id: 'TELLING-XRAY', title: 'Chest X-ray', kind: 'x-ray', text: 'A film.', picture: 'TELLING-pneumothorax.svg' },
      { id: 'skin', title: 'Skin', kind: 'appearance', text: 'Pale.' },
    ],
  };
  definition = { scenario, library: loaded.library, packId: 'fixture-pack', seed: 1 };
});

const anchor = { serverMs: 5, runMs: 1_000, rate: 1 };

/** A run to which `bodies` happened one after another, a second apart, by the seats named. */
const play = (bodies: readonly [EventBody, RunEvent['by']?][], untilMs = 0): RunView => {
  const run = createRun(definition);
  bodies.forEach(([body, by = { role: 'lead', seat: 'desk' }], at) => {
    run.advanceTo(at * 1_000);
    const appliedAtMs = run.clockMs;
    run.apply({ ...body, seq: at + 1, take: 1, appliedAtMs, occurredAtMs: appliedAtMs, wallTime: '', by });
  });
  run.advanceTo(untilMs);
  return run.view();
};

const crew = (view: RunView, more: Partial<CrewSource> = {}) => {
  const frame = crewFrame({
    roleSeq: 3,
    role: 'observer',
    seat: 'mine',
    view,
    scenario,
    comments: [{ seq: 4, text: 'Well led.', about: 'good', atMs: 2_000 }],
    anchor,
    ...more,
  });
  expect(check(CrewFrameSchema, frame)).toMatchObject({ ok: true });
  return frame;
};

const observer = (seat: string): RunEvent['by'] => ({ role: 'observer', seat });

/** Every number of the patient's as it would be written, long enough that none stands elsewhere by chance. */
const truths = (view: RunView) =>
  Object.values(view.trueVitals)
    .map(String)
    .filter((text) => text.length > 6);

describe('an observer', () => {
  it('sees the list with what this seat ticked last, and its own comments; no other’s, no vital, no state, no cue', () => {
    const view = play(
      [
        [{ kind: 'run-started' }],
        [{ kind: 'behaviour-ticked', behaviour: 'leads', seen: 'partly' }, observer('mine')],
        [{ kind: 'behaviour-ticked', behaviour: 'leads', seen: 'seen' }, observer('mine')],
        [{ kind: 'behaviour-ticked', behaviour: 'loop', seen: 'not-seen' }, observer('theirs')],
        [{ kind: 'happening', what: 'phone', text: 'SECRET-PHONE' }],
        [
          {
            kind: 'intervention',
            intervention: 'adrenaline-im',
            step: 'given',
            amount: 300,
            unit: 'micrograms',
            doseSeen: true,
          },
        ],
      ],
      9_000,
    );
    const frame = crew(view);
    expect(frame).toMatchObject({ role: 'observer', seat: 'mine', take: 1, title: 'A child unwell', blank: false });
    expect(frame.behaviours).toEqual([
      { id: 'leads', says: 'Someone leads aloud', seen: 'seen' },
      { id: 'loop', says: 'Closes the loop', seen: null },
    ]);
    expect(frame.comments).toEqual([{ seq: 4, text: 'Well led.', about: 'good', atMs: 2_000 }]);
    expect(frame).toMatchObject({ prompts: [], lines: [], family: null, happenings: [] });
    const text = JSON.stringify(frame);
    expect(text).not.toMatch(/SECRET|TELLING|arrival|adrenaline|300/);
    expect(truths(view).length).toBeGreaterThan(8);
    for (const value of truths(view)) expect(text).not.toContain(value);
  });
});

describe('an embedded participant', () => {
  it('sees what is due to be said, what can be seen of the patient, the family and what happens; no vital, no state', () => {
    const view = play(
      [
        [{ kind: 'run-started' }],
        [{ kind: 'family-history-told', item: 'sesame' }],
        [{ kind: 'family-worry', item: 'breathing', step: 'voiced' }],
        [{ kind: 'family-distress', level: 3 }],
        [{ kind: 'family-with', who: 'the nurse' }],
        [{ kind: 'happening', what: 'phone', text: 'The ward calls.' }],
      ],
      9_000,
    );
    const frame = crew(view, { role: 'participant' });
    // The cue falls due two seconds into its state; its words are what this phone is for.
    expect(frame.prompts).toMatchObject([{ cue: 'throat', by: 'Pip', says: 'SECRET-CUE', spokenAtMs: null }]);
    expect(frame.lines.length).toBeGreaterThan(2);
    const observable = view.findings.filter((finding) => finding.observable).map(({ text }) => text);
    expect(frame.lines.map(({ text }) => text)).toEqual(observable);
    expect(observable.length).toBeLessThan(view.findings.length);
    expect(frame.family).toEqual({
      distress: 3,
      with: 'the nurse',
      members: [
        {
          who: 'Aunt',
          says: 'Worried.',
          history: [{ ...FAMILY[0]?.history?.[0], toldAtMs: 1_000 }],
          worries: [{ ...FAMILY[0]?.worries?.[0], step: 'voiced' }],
        },
      ],
    });
    expect(frame.happenings).toEqual([{ seq: 6, what: 'phone', text: 'The ward calls.', atMs: 5_000 }]);
    expect(frame.behaviours).toEqual([]);
    const text = JSON.stringify(frame);
    expect(text).not.toMatch(/SECRET-(STATE|SAYS|BECAUSE)|TELLING|arrival|spo2|heartRate/);
    for (const value of truths(view)) expect(text).not.toContain(value);
  });
});

it('a real emergency leaves nothing on a crew phone', () => {
  const view = play([[{ kind: 'run-started' }], [{ kind: 'real-emergency-stop' }]], 5_000);
  for (const role of ['observer', 'participant'] as const) {
    const { roleSeq, seat, ...rest } = crew(view, { role });
    expect([roleSeq, seat]).toEqual([3, 'mine']);
    expect(rest).toEqual({
      t: 'crew',
      role,
      phase: 'paused',
      restarted: false,
      blank: true,
      clockMs: 0,
      take: 1,
      title: '',
      behaviours: [],
      comments: [],
      prompts: [],
      lines: [],
      family: null,
      happenings: [],
    });
  }
});

describe('what a monitor is told beside the vitals', () => {
  const monitor = (view: RunView, more: Partial<MonitorSource> = {}) => {
    const frame = monitorFrame({
      roleSeq: 1,
      view,
      learnerTitle: 'safe',
      ageYears: 8,
      anchor,
      exhibits: scenario.exhibits ?? [],
      pictureAddress: () => '/api/exhibits/0123abcd.svg',
      soundCapPercent: 40,
      inSitu: false,
      soundNumber: (seq) => seq - 40,
      chest: () => chestSounds(NO_SIGNS, CLEAR, CLEAR),
      ...more,
    });
    expect(check(MonitorFrameSchema, frame)).toMatchObject({ ok: true });
    return frame;
  };

  it('sound no louder than the site allows, sounds by their own numbers, exhibits by names that tell nothing', () => {
    const view = play([
      [{ kind: 'run-started' }],
      [{ kind: 'sound-changed', volumePercent: 90, pulseTone: true, alarms: false }],
      [{ kind: 'sound-played', sound: 'door' }],
      [{ kind: 'exhibit-shown', exhibit: 'TELLING-XRAY' }],
      [{ kind: 'exhibit-shown', exhibit: 'skin' }],
      [{ kind: 'exhibit-hidden', exhibit: 'skin' }],
      [{ kind: 'speed-changed', factor: 2 }],
      [{ kind: 'learner-controls', cuff: true, silence: false, probes: true }],
      [{ kind: 'alarm-paused', forMs: 60_000 }],
    ]);
    const frame = monitor(view, { soundNumber: () => 1 });
    expect(frame.sound).toEqual({ volumePercent: 40, pulseTone: true, alarms: false });
    expect(frame.playing).toEqual([{ seq: 1, sound: 'door', atMs: 2_000 }]);
    expect(frame.exhibits).toEqual([
      {
        id: 'exhibit-1',
        title: 'Chest X-ray',
        kind: 'x-ray',
        text: 'A film.',
        picture: '/api/exhibits/0123abcd.svg',
        sinceMs: 3_000,
      },
    ]);
    expect(frame.speed).toBe(2);
    expect(frame.may).toEqual({ cuff: true, silence: false, probes: true });
    expect(frame.alarm?.pausedUntilMs).toBe(68_000);
    expect(JSON.stringify(frame)).not.toMatch(/TELLING|pneumothorax/);
  });

  it('a gas comes by itself, and not before it is due', () => {
    const view = play([[{ kind: 'run-started' }]]);
    const gas = { seq: 77, test: 'blood-gas', name: 'Blood gas sent', sampledAtMs: 1_000, values: null };
    const waiting = { ...view, results: [{ ...gas, dueAtMs: 121_000, text: null }] };
    expect(monitor(waiting).exhibits).toEqual([]);
    const come = { ...view, results: [{ ...gas, dueAtMs: 121_000, text: 'pH 7.2' }] };
    expect(monitor(come).exhibits).toEqual([
      { id: 'result-1', title: 'Blood gas', kind: 'gas', text: 'pH 7.2', sinceMs: 121_000 },
    ]);
  });

  it('the chest only while faculty let learners listen; nothing of all this during a real emergency', () => {
    const off = monitor(play([[{ kind: 'run-started' }]]));
    expect(off.chest).toBeNull();
    const on = monitor(play([[{ kind: 'run-started' }], [{ kind: 'listening', on: true }]]));
    expect(on.chest?.left.airEntry).toBe(1);
    const stop = monitor(
      play([
        [{ kind: 'run-started' }],
        [{ kind: 'exhibit-shown', exhibit: 'skin' }],
        [{ kind: 'real-emergency-stop' }],
      ]),
    );
    for (const field of ['sound', 'playing', 'alarm', 'may', 'exhibits', 'chest', 'anchor', 'speed'])
      expect(stop).not.toHaveProperty(field);
  });
});

const NO_SIGNS = Object.fromEntries(SIGNS.map((sign) => [sign, 0])) as Record<(typeof SIGNS)[number], number>;
const CLEAR = { entry: 1, crackles: 0, ownWheeze: 0 };

describe('the chest', () => {
  it('well: air in on both sides, nothing added', () => {
    const clear = { airEntry: 1, wheeze: 0, crackles: 0 };
    expect(chestSounds(NO_SIGNS, CLEAR, CLEAR)).toEqual({ left: clear, right: clear, stridor: 0 });
  });

  it('wheeze is heard on both sides, fades when the chest falls silent, and goes with the last breath', () => {
    const wheeze = (more: Partial<typeof NO_SIGNS>) => chestSounds({ ...NO_SIGNS, wheeze: 4, ...more }, CLEAR, CLEAR);
    expect(wheeze({}).left.wheeze).toBe(1);
    expect(wheeze({}).right.wheeze).toBe(1);
    expect(wheeze({ 'silent-chest': 4 }).left.wheeze).toBeLessThan(0.2);
    expect(wheeze({ 'silent-chest': 4 }).left.airEntry).toBeLessThan(0.2);
    for (const stopped of [wheeze({ apnoea: 4, stridor: 3 }), wheeze({ arrest: 4, stridor: 3 })]) {
      const silent = { airEntry: 0, wheeze: 0, crackles: 0 };
      expect(stopped).toEqual({ left: silent, right: silent, stridor: 0 });
    }
  });

  it('each side has its own: a lung down, water, a plug', () => {
    const { left, right, stridor } = chestSounds(
      { ...NO_SIGNS, stridor: 2 },
      { entry: 0.05, crackles: 0.6, ownWheeze: 0 },
      { entry: 0.6, crackles: 0.5, ownWheeze: 0.5 },
    );
    expect(left).toEqual({ airEntry: 0, wheeze: 0, crackles: 0 });
    expect(right).toEqual({ airEntry: 0.625, wheeze: 0.5, crackles: 0.5 });
    expect(stridor).toBe(0.5);
  });

  it('says nothing finer than an ear could tell, and never leaves 0 to 1 (property)', () => {
    const unit = fc.double({ min: 0, max: 1, noNaN: true });
    const side = fc.record({ entry: unit, crackles: unit, ownWheeze: unit });
    const grades = fc.record(Object.fromEntries(SIGNS.map((sign) => [sign, fc.integer({ min: 0, max: 4 })])));
    fc.assert(
      fc.property(grades, side, side, (signs, left, right) => {
        const heard = chestSounds(signs as typeof NO_SIGNS, left, right);
        for (const value of [...Object.values(heard.left), ...Object.values(heard.right), heard.stridor]) {
          expect(value).toBeGreaterThanOrEqual(0);
          expect(value).toBeLessThanOrEqual(1);
          expect(Number.isInteger(value * 8)).toBe(true);
        }
      }),
    );
  });

  it('comes out of a run of the model itself', () => {
    const run = createRun(definition);
    const heard = chestSounds(run.trackRow().signs, ...run.chestSides());
    expect(heard.left.airEntry).toBeGreaterThan(0);
    expect(heard.left).toEqual(heard.right);
  });
});
