/** Faculty confirm an arrest: until then the patient stays at the brink. */
import { describe, expect, it } from 'vitest';
import {
  ARREST_ITEM,
  arrestAgreed,
  buildExport,
  replay,
  rehearse,
  whatIf,
  type EventBody,
  type RunDefinition,
  type Simulation,
} from '../src/index.ts';
import { give, logOf, REACTION, START } from './fixtures.ts';
import { started } from './helpers.ts';

/** Scenario and prebrief must both have said so. */
const AGREED: EventBody = { kind: 'prebrief-item', item: ARREST_ITEM, done: true };
const AS_MODEL: RunDefinition = { ...REACTION, scenario: { ...REACTION.scenario, arrest: 'as-model' } };

/** Untreated until it stops, or is asked whether it may. */
function toTheBrink(definition = REACTION): ReturnType<typeof started> & { readonly atMs: number } {
  const drill = started(definition);
  while (drill.run.view().live!.arrest === 'not-asked' && drill.run.clockMs < 2_400_000) {
    drill.run.advanceTo(drill.run.clockMs + 1000);
  }
  return { ...drill, atMs: drill.run.clockMs };
}

const facts = (run: Simulation): string[] =>
  run.derived.map((fact) => fact.kind).filter((kind) => kind.startsWith('arrest'));

describe('an arrest', () => {
  it('comes by itself where the scenario says so and faculty agreed to it in the prebrief', () => {
    const { run, put } = started(AS_MODEL);
    put(AGREED);
    expect(arrestAgreed(AS_MODEL, run.events)).toBe(true);
    run.advanceTo(1_500_000);
    expect(run.view().trueVitals.arrested).toBe(1);
    expect(run.view().live!.arrest).toBe('not-asked');
    expect(facts(run)).toEqual(['arrest']);
  });

  it('is asked about where only one of the two said so, or the agreement was taken back', () => {
    const none = toTheBrink(AS_MODEL);
    expect(none.run.view().live!.arrest).toBe('asked');
    expect(arrestAgreed(AS_MODEL, none.run.events)).toBe(false);
    const prebriefOnly = started(REACTION);
    prebriefOnly.put(AGREED);
    prebriefOnly.run.advanceTo(1_500_000);
    expect(facts(prebriefOnly.run)).toContain('arrest-asked');
    expect(prebriefOnly.run.view().trueVitals.arrested).toBe(0);
    const unticked = started(AS_MODEL);
    unticked.put(AGREED);
    unticked.put({ ...AGREED, done: false });
    unticked.run.advanceTo(1_500_000);
    expect(facts(unticked.run)).not.toContain('arrest');
    const undone = started(AS_MODEL);
    undone.put({ kind: 'event-withdrawn', targetSeq: undone.put(AGREED) });
    undone.run.advanceTo(1_500_000);
    expect(undone.run.view().trueVitals.arrested).toBe(0);
    expect(arrestAgreed(AS_MODEL, undone.run.events)).toBe(false);
  });

  it('agreed to before the start counts, and the log replays to the same end', () => {
    const log = logOf([
      [0, AGREED],
      [0, START],
    ]);
    const run = replay(AS_MODEL, log, { untilMs: 1_500_000 });
    expect(run.view().trueVitals.arrested).toBe(1);
    expect(run.hash()).toBe(replay(AS_MODEL, log, { untilMs: 1_500_000 }).hash());
  });

  it('is asked about first: held at the brink, very slow, no pressure to speak of, unresponsive, for as long as it takes', () => {
    const { run, atMs } = toTheBrink();
    expect(run.view().live!.arrest).toBe('asked');
    expect(facts(run)).toEqual(['arrest-asked']);
    for (const later of [60_000, 300_000, 900_000]) {
      run.advanceTo(atMs + later);
      const { trueVitals, live } = run.view();
      expect(live!.arrest).toBe('asked');
      expect(trueVitals.arrested).toBe(0);
      expect(trueVitals.heartRatePerMin).toBeLessThan(60);
      expect(trueVitals.heartRatePerMin).toBeGreaterThan(10);
      expect(trueVitals.systolicMmHg).toBeLessThan(45);
      expect(trueVitals.pulseRatePerMin).toBeGreaterThan(0);
      expect(trueVitals.consciousnessFraction).toBeLessThan(0.1);
    }
  });

  it('comes within seconds of being allowed, at the same moment as it would have, or not at all once refused', () => {
    const asked = toTheBrink();
    asked.put({ kind: 'arrest-decided', allow: true });
    asked.run.advanceTo(asked.atMs + 3000);
    expect(asked.run.view().trueVitals.arrested).toBe(1);
    expect(asked.run.view().live!.arrest).toBe('allowed');

    const free = started(AS_MODEL);
    free.put(AGREED);
    free.run.advanceTo(asked.atMs);
    expect(free.run.derived.find((fact) => fact.kind === 'arrest')!.atMs).toBeGreaterThan(asked.atMs - 1100);

    const refused = toTheBrink();
    refused.put({ kind: 'arrest-decided', allow: false });
    refused.run.advanceTo(refused.atMs + 600_000);
    expect(refused.run.view().trueVitals.arrested).toBe(0);
    expect(refused.run.view().live!.arrest).toBe('refused');
  });

  it('allowed beforehand, comes without a question', () => {
    const { run, put } = started(REACTION);
    put({ kind: 'arrest-decided', allow: true });
    run.advanceTo(1_500_000);
    expect(facts(run)).toEqual(['arrest']);
  });

  it('by choice of whoever replays comes without a question, in the run and in a what-if of it, and marks no definition', () => {
    const log = logOf([
      [0, START],
      [1_500_000, { kind: 'run-ended', why: 'done' }],
    ]);
    const [asked, free] = (['faculty', 'model'] as const).map((arrestBy) => replay(REACTION, log, { arrestBy }));
    expect(facts(asked!)).toEqual(['arrest-asked']);
    expect(facts(free!)).toEqual(['arrest']);
    expect(replay(REACTION, log).hash()).toBe(asked!.hash());
    const run = buildExport({ runId: 'r', createdAt: '', definition: REACTION, events: log });
    const start = [{ kind: 'move', seq: log[1]!.seq, byMs: -100 }] as const;
    const { base } = whatIf(run, start, { uncertain: [] });
    expect(base.hash).toBe(free!.hash());
    // Where faculty did decide, theirs stands in both courses.
    const decided = logOf([
      [0, START],
      [0, { kind: 'arrest-decided', allow: false }],
      [1_500_000, { kind: 'run-ended', why: 'done' }],
    ]);
    const theirs = whatIf({ ...run, events: decided }, [{ kind: 'move', seq: 3, byMs: -100 }], { uncertain: [] });
    expect(theirs.base.outcomes.arrestAtMs).toBeNull();
  });

  it('refused: care brings the patient back from the brink, and the question may come again', () => {
    const { run, put, atMs } = toTheBrink();
    put({ kind: 'arrest-decided', allow: false });
    put(give('bag-mask', 20));
    put(give('oxygen', null));
    put(give('adrenaline-im', 500, 'micrograms'));
    put(give('saline', 900, 'mL'));
    put(give('lie-flat', null));
    run.advanceTo(atMs + 240_000);
    put(give('adrenaline-im', 500, 'micrograms'));
    run.advanceTo(atMs + 900_000);
    const { trueVitals, live } = run.view();
    expect(trueVitals.systolicMmHg).toBeGreaterThan(60);
    expect(trueVitals.spo2Percent).toBeGreaterThan(85);
    expect(live!.arrest).toBe('not-asked');
  });

  it('a decision can be taken back, and a log replays to the same end', () => {
    const { run, put, atMs } = toTheBrink();
    const seq = put({ kind: 'arrest-decided', allow: true });
    run.advanceTo(atMs + 60_000);
    put({ kind: 'event-withdrawn', targetSeq: seq });
    expect(run.view().trueVitals.arrested).toBe(0);
    expect(run.view().live!.arrest).toBe('asked');
    run.advanceTo(atMs + 120_000);
    expect(replay(REACTION, run.events, { untilMs: run.clockMs }).hash()).toBe(run.hash());
  });

  it('counts as allowed in a rehearsal, and its log says so', () => {
    const result = rehearse(REACTION, { name: 'nobody acts', forMs: 1_500_000, acts: [], expect: [] });
    expect(result.events[1]).toMatchObject({ kind: 'arrest-decided', allow: true });
    expect(result.derived.some((fact) => fact.kind === 'arrest' && fact.on)).toBe(true);
    expect(rehearse(AS_MODEL, { name: 'x', forMs: 1000, acts: [], expect: [] }).events).toHaveLength(3);
  });

  it('withdrawing nothing else: a run that never comes near one carries no trace of the question', () => {
    const log = logOf([[0, START]]);
    expect(replay(REACTION, log, { untilMs: 60_000 }).hash()).toBe(replay(AS_MODEL, log, { untilMs: 60_000 }).hash());
  });
});
