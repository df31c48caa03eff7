/** Nothing hangs on a name: a run whose every id of scenario, thread, state, cue, medicine and pack is another word is the same run. */
import { describe, expect, it } from 'vitest';
import { replayTrack } from '@breathline/engine';
import type { RunDefinition, RunEvent } from '@breathline/engine';
import { REACTION, TREATED } from '../../packages/engine/test/fixtures.ts';

/** Every id that an author, not the model, has chosen. */
function idsOf(definition: RunDefinition): string[] {
  const { scenario, library } = definition;
  return [
    scenario.id,
    ...scenario.threads.flatMap((t) => [t.id, ...t.states.flatMap((s) => [s.id, ...s.cues.map((c) => c.id)])]),
    ...library.interventions.map((i) => i.id),
    ...library.packs.map((p) => p.id),
    scenario.patient.name,
  ];
}

/** Keys whose values are the model's own words and stay. */
const MODEL_WORDS = new Set([
  'kind',
  'effect',
  'drive',
  'device',
  'route',
  'disease',
  'pattern',
  'vital',
  'sign',
  'posture',
]);

function rename<T>(value: T, to: ReadonlyMap<string, string>, key = ''): T {
  if (typeof value === 'string') return (MODEL_WORDS.has(key) ? value : (to.get(value) ?? value)) as T;
  if (Array.isArray(value)) return value.map((one: unknown) => rename(one, to, key)) as T;
  if (value !== null && typeof value === 'object')
    return Object.fromEntries(
      Object.entries(value).map(([k, v]) => [k, k === 'procedure' ? v : rename(v as unknown, to, k)]),
    ) as T;
  return value;
}

describe('renaming', () => {
  it('changes no number of the track', () => {
    const to = new Map(idsOf(REACTION).map((id, i) => [id, `q${i}-${id.length}`]));
    expect(to.size).toBeGreaterThan(12);
    const other = rename(REACTION, to);
    const log = rename(TREATED as readonly RunEvent[], to);
    expect(JSON.stringify(other)).not.toContain('"arrival"');
    const numbers = (rows: ReturnType<typeof replayTrack>) =>
      JSON.stringify(rows.map((row) => [row.atMs, row.true, row.shown]));
    const before = replayTrack(REACTION, TREATED);
    expect(before.length).toBeGreaterThan(100);
    expect(numbers(replayTrack(other, log))).toBe(numbers(before));
  });
});
