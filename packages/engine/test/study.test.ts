/** A study in pieces gives what the whole question gives, and a change of nothing changes nothing. */
import { describe, expect, it } from 'vitest';
import { buildExport, whatIf, WhatIfStudy, type RunEvent } from '@breathline/engine';
import { REACTION, TREATED } from './fixtures.ts';

// Short: each of the many replays costs its length.
const LENGTH_MS = 150_000;
const events: RunEvent[] = TREATED.filter((event) => event.appliedAtMs < LENGTH_MS);
const run = buildExport({ runId: 'study', createdAt: '', definition: REACTION, events });
const dose = events.find((event) => event.kind === 'intervention' && event.step === 'given')!;

describe('a what-if in pieces', () => {
  it('moving an act by nothing is the run, bit for bit', () => {
    const same = new WhatIfStudy(run).answer([{ kind: 'move', seq: dose.seq, byMs: 0 }]);
    expect(same.identical).toBe(true);
    expect(same.alternative.hash).toBe(same.base.hash);
    expect(same.alternative.track).toEqual(same.base.track);
    expect(same.differences.every(({ change }) => change === 0 || change === null)).toBe(true);
  });

  it('answers and widens to what the whole question answers', () => {
    const edits = [{ kind: 'drop', seq: dose.seq }] as const;
    const study = new WhatIfStudy(run);
    const first = study.answer(edits);
    expect(first.identical).toBe(false);
    const steps = [...study.widen(first)];
    const whole = whatIf(run, edits);
    expect(first.alternative.hash).toBe(whole.alternative.hash);
    expect(steps.at(-1)).toEqual(whole);
    // The second time the courses without the edit are known; the answer is the same.
    expect(study.widen(study.answer(edits)).next().value).toEqual(steps[0]);
  });
});
