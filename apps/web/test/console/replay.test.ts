/** The run played again on the console: trends after a reload, and what an undo would change, over several takes. */
import { describe, expect, it } from 'vitest';
import { createRun, type EventBody, type RunEvent } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import { give, REACTION, START } from '../../../../packages/engine/test/fixtures.ts';
import { previewUndo, replayedTrend } from '../../src/lib/console/replay.ts';

function drill() {
  const run = createRun(REACTION);
  const put = (body: EventBody, extra: Partial<RunEvent> = {}): void =>
    run.apply({
      seq: run.events.length + 1,
      take: run.take,
      appliedAtMs: run.clockMs,
      occurredAtMs: run.clockMs,
      wallTime: '',
      by: { role: 'lead' },
      ...body,
      ...extra,
    } as RunEvent);
  put(START);
  run.advanceTo(60_000);
  put(give('oxygen', null));
  run.advanceTo(150_000);
  put(
    { kind: 'wound-back', toMs: 90_000, fromTake: 1, leftAtMs: 150_000 },
    { take: 2, appliedAtMs: 90_000, occurredAtMs: 90_000 },
  );
  put(give('adrenaline-im', 500, 'micrograms'));
  run.advanceTo(240_000);
  const log: LogLine[] = run.events.map((event) => ({ event, withdrawnBy: null }));
  return { run, log };
}

describe('a run wound back', () => {
  it('has one trend through the moment wound back to, the same as the run itself', () => {
    const { run, log } = drill();
    const trend = replayedTrend(REACTION, log, run.clockMs);
    expect(trend).toHaveLength(241);
    const alone = replayedTrend(
      REACTION,
      log
        .filter((line) => line.event.kind !== 'wound-back')
        .map((line) => ({ ...line, event: { ...line.event, take: 1 } as RunEvent })),
      run.clockMs,
    );
    expect(trend).toEqual(alone);
  });

  it('says what an undo would change in the take being played', () => {
    const { run, log } = drill();
    const preview = previewUndo(REACTION, log, 4, run.clockMs);
    expect(preview.known).toBe(true);
    expect(preview.vitals.length).toBeGreaterThan(0);
    expect(run.view().doses).toHaveLength(2);
  });
});
