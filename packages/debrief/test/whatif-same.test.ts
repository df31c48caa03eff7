/** A what-if that changes nothing is the run: every vital at every step, every fact the engine derived, and every line of the score. */
import { describe, expect, it } from 'vitest';
import { replay, whatIf, type RunDefinition, type RunEvent, type RunExport, type TrackRow } from '@breathline/engine';
import { aRun } from '../../../tests/reference/a-run.ts';
import { reviewRun, scoreRun } from '../src/index.ts';

const run = aRun('wasp-sting-orchard', 'textbook', ['oximeter', 'bp-cuff']);
const dose = run.events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!;
const amount = dose.kind === 'intervention' ? dose.amount! : 0;
const untilMs = run.track.at(-1)!.atMs;

/** What is true, and the hash of the whole state, after each tenth of a second. */
const everyStep = (definition: RunDefinition, events: readonly RunEvent[]): readonly [TrackRow['true'], string][] => {
  const steps: [TrackRow['true'], string][] = [];
  replay(definition, events, { untilMs, onTick: (now) => void steps.push([now.trackRow().true, now.hash()]) });
  return steps;
};
const asRun = ({ events, alternative }: ReturnType<typeof whatIf>): RunExport => ({
  ...run,
  events,
  track: alternative.track,
  derived: alternative.derived,
});

describe('a change of nothing', { timeout: 60_000 }, () => {
  it.each([
    ['no edit', []],
    ['moved by nothing', [{ kind: 'move', seq: dose.seq, byMs: 0 }]],
    ['the dose it was', [{ kind: 'dose', seq: dose.seq, amount }]],
  ] as const)('%s', (_, edits) => {
    const same = whatIf(run, edits, { uncertain: [] });
    expect(same.identical).toBe(true);
    // Against the run as it was recorded, not only against itself.
    expect(same.alternative.track).toEqual(run.track);
    expect(same.alternative.derived).toEqual(run.derived);
    expect(same.alternative.derived.length).toBeGreaterThan(5);
    const steps = everyStep(run.definition, same.events);
    expect(steps.length).toBeGreaterThanOrEqual(untilMs / 100);
    expect(steps).toEqual(everyStep(run.definition, run.events));
    const card = scoreRun(asRun(same));
    expect(card).toEqual(scoreRun(run));
    expect(reviewRun(asRun(same), { card })).toEqual(reviewRun(run, { card: scoreRun(run) }));
  });

  it('a change of a tenth of a second is seen by each of these', () => {
    const other = whatIf(run, [{ kind: 'move', seq: dose.seq, byMs: 100 }], { uncertain: [] });
    expect(other.identical).toBe(false);
    expect(other.alternative.track).not.toEqual(run.track);
    expect(everyStep(run.definition, other.events)).not.toEqual(everyStep(run.definition, run.events));
    expect(scoreRun(asRun(other))).not.toEqual(scoreRun(run));
  });
});
