/** A run wound back is scored on the take chosen: what its parents had until then, its own acts, its own end. */
import { describe, expect, it } from 'vitest';
import { exportOfTake, type RunEvent, type RunExport, type TrackRow } from '@breathline/engine';
import { buildTimeline, fhirBundle, runTrackCsv, scoreRun } from '../src/index.ts';
import { prepareLog } from '../src/prepare-log.ts';
import { adrenaline, build, end, s, track, type Line } from './build-run.ts';

/** Wheeze from half a minute on. */
const ILL = (atMs: number) => (atMs >= s(30) ? { signs: { wheeze: 2 } } : {});

/**
 * Take 1: nothing until it ends at 5 min. Take 2, from 1:00: adrenaline at 2:00, ends at 4:00. The first take's own dose
 * at 4:30 is no part of the second.
 */
function wound(scoredTake: number): RunExport {
  const rows = (toMs: number, take?: number): TrackRow[] =>
    track(toMs, ILL).map((row) => (take === undefined ? row : { ...row, take }));
  const run = build({
    toMs: s(300),
    lines: [
      adrenaline(s(270)),
      end(s(300)),
      { at: s(60), kind: 'wound-back', toMs: s(60), fromTake: 1, take: 2 },
      { ...adrenaline(s(120)), take: 2 },
      { ...end(s(240)), take: 2 },
    ],
  });
  return {
    ...run,
    scoredTake,
    track: [...rows(s(300)), ...rows(s(240), 2).filter((row) => row.atMs > s(60))],
    derived: [
      { kind: 'cue-due', atMs: s(40), cue: 'early', thread: 't', state: 'a' },
      { kind: 'cue-due', atMs: s(200), cue: 'first', thread: 't', state: 'a' },
      { kind: 'cue-due', atMs: s(200), cue: 'second', thread: 't', state: 'a', take: 2 },
    ],
  };
}

describe('a run of two takes', () => {
  it('is read as the take that is scored', () => {
    expect(prepareLog(wound(1))).toMatchObject({ endMs: s(300), ended: true, arrivalMs: 0 });
    expect(prepareLog(wound(1)).acts.map((act) => act.atMs)).toEqual([s(270)]);
    expect(prepareLog(wound(2))).toMatchObject({ endMs: s(240), ended: true, arrivalMs: 0 });
    expect(prepareLog(wound(2)).acts.map((act) => act.atMs)).toEqual([s(120)]);
  });

  it('scores each take by itself: the same as if the other had never been', () => {
    const alone = build({ toMs: s(240), lines: [adrenaline(s(120)), end(s(240))] });
    const own = { ...alone, track: track(s(240), ILL) };
    const [first, second] = [scoreRun(wound(1)), scoreRun(wound(2))];
    expect(second.take).toBe(2);
    const taken = (card: typeof second) => card.results.map((one) => [one.target.id, one.result, one.takenMs]);
    expect(taken(second)).toEqual(taken(scoreRun(own)));
    expect(second.danger).toEqual(scoreRun(own).danger);
    expect(taken(first)).not.toEqual(taken(second));
  });

  it('gives out the vitals of one take: no second twice, and no observation of one take under the id of another', () => {
    const seconds = (take: number) =>
      runTrackCsv(wound(take))
        .split('\r\n')
        .slice(1, -1)
        .map((row) => row.split(',')[1]);
    expect(new Set(seconds(1)).size).toBe(seconds(1).length);
    expect(seconds(1).at(-1)).toBe('300');
    expect(new Set(seconds(2)).size).toBe(seconds(2).length);
    expect(seconds(2).at(-1)).toBe('240');
    const ids = (take: number) =>
      (fhirBundle(wound(take), { startedAt: '2026-01-05T09:00:00.000Z' })['entry'] as { fullUrl: string }[]).map(
        ({ fullUrl }) => fullUrl,
      );
    const [first, second] = [ids(1), ids(2)];
    expect(new Set(first).size).toBe(first.length);
    expect(new Set(second).size).toBe(second.length);
    // The test patient is the same one, and nothing else.
    expect(second.filter((one) => first.includes(one))).toEqual([first[0]]);
  });

  it('draws one line through the moment wound back to', () => {
    const run = wound(2);
    const model = buildTimeline(run, scoreRun(run));
    expect(model.toMs).toBe(s(240));
    expect(model.doses.map((dose) => dose.atMs)).toEqual([s(120)]);
    expect(exportOfTake(run).track.map((row) => row.atMs)).toEqual(Array.from({ length: 241 }, (_, i) => i * 1000));
    expect(exportOfTake(run).derived.map((fact) => ('cue' in fact ? fact.cue : ''))).toEqual(['early', 'second']);
  });

  it('is answered and judged take by take, also once another take was played', () => {
    const about = (ofTake: number, result: string): Line => ({
      at: s(240),
      take: 2,
      kind: 'line-adjusted',
      target: 'first-adrenaline',
      result,
      reason: `Seen in take ${ofTake}`,
      ofTake,
    });
    const base = wound(1);
    const more = (lines: readonly Line[]): readonly RunEvent[] => {
      const { events } = build({ toMs: s(300), lines });
      return [...base.events, ...events.map((event) => ({ ...event, seq: event.seq + 100 }))];
    };
    const events = more([about(1, 'missed'), about(2, 'not-due')]);
    const judged = (scoredTake: number, all = events) =>
      scoreRun({ ...base, scoredTake, events: all }).results.find(({ target }) => target.id === 'first-adrenaline');
    expect(judged(1)?.adjusted).toMatchObject({ result: 'missed', reason: 'Seen in take 1' });
    expect(judged(2)?.adjusted).toMatchObject({ result: 'not-due', reason: 'Seen in take 2' });
    expect(judged(1)).toMatchObject({ result: scoreRun(base).results[0]?.result, latenessMs: s(120) });
    // Nothing said afterwards lengthens the take it is about.
    expect(scoreRun({ ...base, events }).clocks).toEqual(scoreRun(base).clocks);

    const asked: Line = {
      at: s(240),
      take: 2,
      kind: 'reconciled',
      target: 'first-adrenaline',
      answer: 'unsure',
      ofTake: 1,
    };
    const answers = more([asked]);
    expect(judged(1, answers)?.reconciled).toMatchObject({ answer: 'unsure' });
    expect(judged(2, answers)?.reconciled).toBeUndefined();
    const { seq: targetSeq } = answers.findLast(({ kind }) => kind === 'reconciled')!;
    const withdrawn: Line = { at: s(240), take: 2, kind: 'event-withdrawn', targetSeq };
    expect(judged(1, more([asked, withdrawn]))?.reconciled).toBeUndefined();
  });

  it('a take not ended yet is read as it stands', () => {
    const run = wound(2);
    const going = { ...run, events: run.events.slice(0, -1) };
    expect(prepareLog(going)).toMatchObject({ ended: false, endMs: s(240) });
  });
});
