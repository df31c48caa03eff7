/** What reaches the room, where a recording stands, and what the headline dares to say. */
import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { buildTimeline, scoreRun, type Scorecard, type TimelineKeyStep } from '@breathline/debrief';
import type { RunEvent, RunExport } from '@breathline/engine';
import { adrenaline, build, end, pack, s, target } from '../../../../packages/debrief/test/build-run.ts';
import { headline } from '../../src/lib/debrief/headline.ts';
import { recordingAt, wallClockOf } from '../../src/lib/debrief/replay/recording.ts';
import { forTheRoom, roomPicture } from '../../src/lib/debrief/room/picture.ts';

const run = build({
  lines: [
    adrenaline(s(100), { givenBy: 'Nurse one' }),
    { at: s(120), kind: 'note', text: 'Looked unsure' },
    { at: s(130), kind: 'comment', text: 'Spoke over the nurse' },
    { at: s(140), kind: 'course-steered', direction: 'worse', pace: 'fast' },
    { at: s(150), kind: 'mark' },
    { at: s(160), kind: 'state-forced', thread: 'illness', state: 'reacting' },
    end(s(600)),
  ],
});
const model = buildTimeline(run, scoreRun(run));
const STEPS = ['welcome', 'reconcile', 'ten', 'timeline', 'replay', 'whatif', 'scorecard', 'discuss', 'summary'];
const base = { title: 'Child unwell', model, whatIf: null, moments: [], board: null };

describe('the room’s screen', () => {
  it('has the case’s name and nothing else until the analysis is open, while covered, and while people come first', () => {
    const bare = { title: 'Child unwell', shown: { kind: 'nothing' } };
    for (const step of STEPS) {
      expect(roomPicture({ ...base, step, opened: false, covered: false })).toEqual(bare);
      expect(roomPicture({ ...base, step, opened: true, covered: true })).toEqual(bare);
    }
    for (const step of ['welcome', 'reconcile'])
      expect(roomPicture({ ...base, step, opened: true, covered: false })).toEqual(bare);
  });

  it('is sent no comment, note or steering, not who did what, and not why a state was forced, at any step', () => {
    expect(model.notes.map(({ kind }) => kind).sort()).toEqual(['mark', 'note', 'note', 'steering', 'steering']);
    for (const step of STEPS) {
      const sent = JSON.stringify(roomPicture({ ...base, step, opened: true, covered: false }));
      expect(sent).not.toMatch(/Looked unsure|Spoke over|Nurse one|[Ff]aculty|"forced":true/);
    }
    expect(forTheRoom(model).notes.map(({ kind }) => kind)).toEqual(['mark']);
    expect(model.doses.map(({ by }) => by)).toEqual(['Nurse one']);
    expect(forTheRoom(model).doses).toEqual(model.doses.map(({ by: _seat, ...dose }) => dose));
  });
});

describe('a recording tied by a clap', () => {
  const at = (kind: RunEvent['kind'], runMs: number, wallS: number, more: object = {}): RunEvent =>
    ({
      seq: wallS + 1,
      take: 1,
      kind,
      appliedAtMs: runMs,
      occurredAtMs: runMs,
      wallTime: new Date(Date.UTC(2026, 0, 5, 9, 0, wallS)).toISOString(),
      by: { role: 'lead' },
      ...more,
    }) as RunEvent;

  it('goes by the wall: through a pause, and twice as slowly as a clock at double speed', () => {
    // Started at 0 s; stood still at 60 s of the run from 60 to 100 s on the wall; at double speed from 120 s of the run.
    const events = [
      at('run-started', 0, 0),
      at('run-paused', s(60), 60),
      at('run-resumed', s(60), 100),
      at('speed-changed', s(120), 160, { factor: 2 }),
    ];
    const wall = wallClockOf(events, 1);
    const clap = { runMs: s(10), recordingS: 15 };
    expect(recordingAt(s(30), clap, wall)).toBe(35);
    expect(recordingAt(s(90), clap, wall)).toBe(15 + 120);
    expect(recordingAt(s(180), clap, wall)).toBe(15 + 180);
    expect(recordingAt(0, clap, wall)).toBe(5);
  });

  it('runs forward with the run wherever the clap was', () => {
    const wall = wallClockOf([at('run-started', 0, 0)], 1);
    const ms = fc.integer({ min: 0, max: 3_600_000 });
    fc.assert(
      fc.property(ms, ms, ms, (clapMs, a, b) => {
        const clap = { runMs: clapMs, recordingS: 5 };
        const apart = recordingAt(b, clap, wall) - recordingAt(a, clap, wall);
        expect(apart).toBeCloseTo((b - a) / 1000, 6);
      }),
      { numRuns: 40 },
    );
  });
});

describe('the headline', () => {
  const of = (card: Scorecard, key: TimelineKeyStep | null = null): string =>
    headline(card, key).replaceAll('\u00a0', ' ');
  const ofRun = (run: RunExport): string => {
    const card = scoreRun(run);
    return of(card, buildTimeline(run, card).key);
  };
  const oxygen = target({ id: 'oxygen-nrb', says: 'Controlled oxygen', dueMs: s(120), critical: true });

  it('says a wrong dose in the same breath as its time', () => {
    const wrong = build({ lines: [adrenaline(s(100), { amount: 3000, volumeMl: 3 }), end(s(600))] });
    expect(of(scoreRun(wrong))).toMatch(/^First adrenaline 40 s after it could have been seen, wrong dose: .*ten/);
  });

  it('says of a run cut short that it ended, not that a dose is missing', () => {
    const first = target({ id: 'first-adrenaline', interventions: ['adrenaline-im'], dueMs: s(120) });
    const cut = build({ pack: pack({ targets: [first] }), lines: [end(s(95))] });
    expect(of(scoreRun(cut))).toBe('The run ended at 1:35, before adrenaline was due');
    const whole = build({ pack: pack({ targets: [first] }), lines: [end(s(600))] });
    expect(of(scoreRun(whole))).toBe('No adrenaline in the log');
  });

  it('never says of a step that was not done, or not recorded, that it was', () => {
    const nothing = build({ pack: pack({ targets: [oxygen] }), lines: [end(s(600))] });
    expect(ofRun(nothing)).toBe('Controlled oxygen: not in the log');
    const said = build({
      pack: pack({ targets: [oxygen] }),
      lines: [end(s(600)), { at: s(600), kind: 'reconciled', target: 'oxygen-nrb', answer: 'not-done' }],
    });
    expect(ofRun(said)).toBe('Controlled oxygen: not done');
  });
});
