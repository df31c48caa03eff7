import { describe, expect, it } from 'vitest';
import type { Condition, Rehearsal } from '@breathline/scenario';
import { buildExport, findRehearsal, isRehearsal, rehearse, replay } from '../src/index.ts';
import { REACTION, TREATED } from './fixtures.ts';

const high: Condition = { kind: 'vital', vital: 'spo2Percent', op: 'at-least', limit: { value: 94 }, forMs: 5000 };
const rehearsal = (rest: Partial<Rehearsal>): Rehearsal => ({
  name: 'r',
  forMs: 300_000,
  acts: [],
  expect: [],
  ...rest,
});

const TEXTBOOK = rehearsal({
  acts: [
    { atMs: 100_000, action: { kind: 'give', intervention: 'oxygen', amount: null, flowLPerMin: 15 } },
    { atMs: 90_000, action: { kind: 'give', intervention: 'adrenaline-im', amount: 'as-pack' } },
    {
      atMs: 250_000,
      action: { kind: 'give', intervention: 'adrenaline-im', amount: 'as-pack' },
      unless: { kind: 'state', thread: 'illness', state: 'settling' },
    },
    { atMs: 10_000, action: { kind: 'attach', device: 'oximeter' } },
    { atMs: 20_000, action: { kind: 'assess', intervention: 'look-at-breathing' } },
    { atMs: 30_000, action: { kind: 'give', intervention: 'count-pulse', amount: null } },
  ],
  expect: [
    { kind: 'state', thread: 'illness', state: 'settling', byMs: 200_000 },
    { kind: 'state', thread: 'illness', state: 'tiring', never: true },
    { kind: 'vital', condition: high, atMs: 280_000 },
    { kind: 'target', target: 'first-adrenaline', result: 'met' },
  ],
});

describe('rehearsals', () => {
  it('play acts in time order with the pack’s doses, and check what was expected', () => {
    const result = rehearse(REACTION, TEXTBOOK);
    expect(result.checks.map((check) => check.ok)).toEqual([true, true, true, null]);
    expect(result.ok).toBe(true);
    expect(result.events.map((event) => event.appliedAtMs)).toEqual([
      0, 0, 10_000, 20_000, 30_000, 90_000, 100_000, 300_000,
    ]);
    expect(result.events[1]).toMatchObject({ kind: 'arrest-decided', allow: true });
    expect(result.events[5]).toMatchObject({
      amount: 300,
      unit: 'micrograms',
      concentration: '1 mg/mL',
      volumeMl: 0.3,
    });
    expect(result.events[4]).toMatchObject({ kind: 'assessment' });
    expect(result.skipped).toMatchObject([{ atMs: 250_000, why: expect.stringContaining('unless') as string }]);
    expect(result.endedAtMs).toBe(300_000);
  });

  it('fail when what was expected does not come', () => {
    const result = rehearse(
      REACTION,
      rehearsal({
        forMs: 60_000,
        acts: [{ atMs: 61_000, action: { kind: 'assess', intervention: 'look-at-breathing' } }],
        expect: [
          { kind: 'state', thread: 'illness', state: 'settling' },
          { kind: 'state', thread: 'illness', state: 'arrival', never: true },
          { kind: 'state', thread: 'illness', state: 'arrival', notBeforeMs: 1000 },
          { kind: 'vital', condition: { ...high, limit: { value: 101 } }, atMs: 30_000 },
          { kind: 'vital', condition: high, atMs: 90_000 },
        ],
      }),
    );
    expect(result.checks.map((check) => check.ok)).toEqual([false, false, false, false, false]);
    expect(result.ok).toBe(false);
    expect(result.checks[0]!.found).toBe('settling was never reached');
    expect(result.skipped).toHaveLength(1);
  });

  it('give a log that replays to the same track, so a rehearsal exports as a run', () => {
    const result = rehearse(REACTION, TEXTBOOK);
    const exported = buildExport({ runId: 'r', createdAt: '', definition: REACTION, events: result.events });
    expect(isRehearsal(exported.events)).toBe(true);
    expect(isRehearsal(TREATED)).toBe(false);
    expect(exported.track).toEqual(result.track);
    expect(exported.derived).toEqual(result.derived);
    expect(replay(REACTION, result.events).clockMs).toBe(300_000);
  });

  it('are found by name, or told which there are', () => {
    const definition = { ...REACTION, scenario: { ...REACTION.scenario, rehearsals: [TEXTBOOK] } };
    expect(findRehearsal(definition, 'r')).toBe(TEXTBOOK);
    expect(() => findRehearsal(definition, 'x')).toThrow('there is no rehearsal called “x”');
  });
});
