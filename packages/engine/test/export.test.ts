import { describe, expect, it } from 'vitest';
import { buildExport, checkExport, EngineError, replay, type RunExport } from '../src/index.ts';
import { REACTION, TREATED } from './fixtures.ts';

const exported = buildExport({ runId: 'r1', createdAt: '2026-01-01T00:00:00Z', definition: REACTION, events: TREATED });
const copy = (): Record<string, unknown> => JSON.parse(JSON.stringify(exported)) as Record<string, unknown>;

const refusal = (input: unknown): EngineError => {
  try {
    checkExport(input);
  } catch (error) {
    if (error instanceof EngineError) return error;
    throw error;
  }
  throw new Error('was accepted');
};

describe('an exported run', () => {
  it('carries its caution, versions, log and a row a second', () => {
    expect(exported.caution).toContain('SIMULATION – NOT FOR CLINICAL USE');
    expect(exported.track.map((row) => row.atMs)).toEqual(Array.from({ length: 601 }, (_, i) => i * 1000));
    expect(exported.scoredTake).toBe(1);
  });

  it('reads back as the same run, and replays to the same end', () => {
    const back = checkExport(JSON.stringify(exported));
    expect(back).toEqual(JSON.parse(JSON.stringify(exported)));
    expect(replay(back.definition, back.events).hash()).toBe(replay(REACTION, TREATED).hash());
  });

  it.each<[string, string, (json: Record<string, unknown>) => unknown]>([
    ['text that is not JSON', 'export-not-a-run', () => '{oops'],
    ['another JSON file', 'export-not-a-run', () => ({ hello: 1 })],
    ['null', 'export-not-a-run', () => null],
    ['a later format', 'export-version-unknown', (json) => ({ ...json, formatVersion: 2 })],
    ['no events', 'export-malformed', ({ events: _, ...json }) => json],
    ['a track that is not a list', 'export-malformed', (json) => ({ ...json, track: {} })],
    ['an event off the step', 'export-malformed', (json) => ({ ...json, events: [{ ...TREATED[0], appliedAtMs: 5 }] })],
    ['an event next year', 'export-malformed', (json) => ({ ...json, events: [{ ...TREATED[0], appliedAtMs: 4e10 }] })],
    ['two events of one number', 'export-malformed', (json) => ({ ...json, events: [TREATED[0], TREATED[0]] })],
    ['a row out of order', 'export-malformed', (json) => ({ ...json, track: [exported.track[3], exported.track[2]] })],
    [
      'no patient',
      'export-malformed',
      (json) => ({ ...json, definition: { ...REACTION, scenario: { id: 'x', title: 'x', startPosture: 'supine' } } }),
    ],
  ])('is refused in words: %s', (_, code, change) => {
    const error = refusal(change(copy()));
    expect(error.code).toBe(code);
    expect(error.message.length).toBeGreaterThan(10);
    expect(error.hint).toBeTruthy();
  });

  it('points at the place', () => {
    const json = copy() as unknown as { events: { seq: unknown }[] };
    json.events[3]!.seq = 'four';
    expect(refusal(json).message).toBe('events[3].seq should be a number; found string');
  });
});

export type { RunExport };
