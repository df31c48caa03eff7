import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { eventsOfTake, exportOfTake, replay, type RunExport } from '@breathline/engine';
import type { AckMessage, CommandBody, FacultyFrame } from '@breathline/protocol';
import { DOSE, TestServer, sleep, type Problem, type TestScreen } from './server.ts';

let server: TestServer;

beforeAll(async () => {
  server = await TestServer.signedIn();
});

afterAll(async () => {
  await server.dispose();
});

const steer = (screen: TestScreen, command: CommandBody): Promise<AckMessage> =>
  screen.tap(command, { baseSeq: screen.faculty.seq });

const exported = async (runId: string, query = ''): Promise<RunExport> =>
  (await server.call<RunExport>('GET', `/api/runs/${runId}/export${query}`)).body;

/** The faculty's next frame in which `fits` holds. */
const frameWhere = (screen: TestScreen, fits: (frame: FacultyFrame) => boolean): Promise<FacultyFrame> =>
  screen.until((message): message is FacultyFrame => message.t === 'faculty' && fits(message), {
    from: screen.received.length - 1,
  });

describe('winding back', () => {
  it('then pulling the plug: the new take comes back to the last bit, the old one is all there, and each can be scored', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(1_300);
    await faculty.tap({ kind: 'note', text: 'before' });
    await sleep(1_800);
    const { seq: dose } = await faculty.tap(DOSE);
    await sleep(1_200);
    const leftMs = faculty.faculty.view.clockMs;
    const { seq: wound } = await steer(faculty, { kind: 'wound-back', toMs: 2_500, fromTake: 1 });
    const again = await frameWhere(faculty, ({ view }) => view.take === 2);
    expect(again.view.clockMs).toBeLessThan(leftMs - 1_000);
    expect(again.view.doses).toEqual([]);
    await sleep(1_700);
    await faculty.tap({ ...DOSE, amount: 150 } as CommandBody);
    await sleep(900);
    await faculty.tap({ kind: 'run-paused', why: 'faculty' });
    await sleep(300);
    const before = faculty.faculty.view;
    expect(before).toMatchObject({ take: 2, phase: 'paused', doses: [{ amount: 150 }] });
    const kept = await exported(runId);
    await server.kill();

    await server.start();
    const back = (await server.faculty(runId)).faculty.view;
    // Every number, to the last bit; only the log of what screens are there may differ.
    expect(back).toEqual(before);
    const after = await exported(runId);
    expect(after).toEqual(kept);
    const played = [kept, after].map(({ definition, events }) =>
      replay(definition, events, { untilMs: before.clockMs }),
    );
    expect(played[0]?.hash()).toBe(played[1]?.hash());
    expect(played[0]?.view().trueVitals).toEqual(before.trueVitals);

    // Where the first take was left is in the log, and what it had stays its own.
    const line = after.events[wound - 1];
    expect(line).toMatchObject({ kind: 'wound-back', take: 2, toMs: 2_500, appliedAtMs: 2_500 });
    expect((line as { leftAtMs?: number }).leftAtMs).toBeGreaterThanOrEqual(leftMs);
    expect(eventsOfTake(after.events, 2).map(({ seq }) => seq)).not.toContain(dose);
    expect(eventsOfTake(after.events, 1).map(({ seq }) => seq)).toContain(dose);

    // One row a second of each take, and the scored take's together have no gap.
    expect(after.scoredTake).toBe(2);
    const rows = exportOfTake(after).track.map(({ atMs }) => atMs);
    expect(rows).toEqual(rows.map((_, at) => at * 1_000));
    const first = exportOfTake(await exported(runId, '?take=1'));
    expect(first.scoredTake).toBe(1);
    expect(first.track.map(({ atMs }) => atMs)).toEqual(first.track.map((_, at) => at * 1_000));
    expect(first.track.at(-1)?.atMs).toBeGreaterThan(2_500);
    for (const query of ['', '?take=1', '?take=2'])
      expect((await server.call('GET', `/api/runs/${runId}/scorecard${query}`)).status).toBe(200);
    for (const query of ['?take=3', '?take=0', '?take=x'])
      expect((await server.call<Problem>('GET', `/api/runs/${runId}/export${query}`)).body.code).toBe('unknown-target');
  }, 60_000);

  it('past the end of a take, to a take nobody played, or by one who does not look, is refused and changes nothing', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    expect((await faculty.refused({ kind: 'wound-back', toMs: 0, fromTake: 1 }, { baseSeq: 0 })).code).toBe(
      'wrong-phase',
    );
    await faculty.tap({ kind: 'run-started' });
    await sleep(1_200);
    const wind = (more: object, baseSeq = faculty.faculty.seq) =>
      faculty.refused({ kind: 'wound-back', toMs: 500, fromTake: 1, ...more } as CommandBody, { baseSeq });
    expect((await wind({ toMs: 60_000 })).message).toMatch(/past its end/);
    expect((await wind({ fromTake: 2 })).message).toMatch(/no take "2"/);
    expect((await wind({ toMs: 550 })).message).toMatch(/steps/);
    expect((await wind({}, 0)).code).toBe('stale-sequence');
    await faculty.tap({ kind: 'run-paused', why: 'someone-not-all-right' });
    expect((await wind({})).message).toMatch(/not all right/);
    await faculty.tap({ kind: 'real-emergency-stop' });
    expect((await wind({})).message).toMatch(/real emergency/);
    expect(faculty.faculty.view.take).toBe(1);
  });

  it('an undo reaches what this take is made of, and no line of a take that was left', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(600);
    const { seq: shared } = await faculty.tap(DOSE);
    await sleep(1_200);
    const { seq: left } = await faculty.tap(DOSE);
    const { seq: words } = await faculty.tap({ kind: 'note', text: 'of the first take' });
    await steer(faculty, { kind: 'wound-back', toMs: 1_200, fromTake: 1 });
    expect((await frameWhere(faculty, ({ view }) => view.take === 2)).view.doses.map(({ seq }) => seq)).toEqual([
      shared,
    ]);
    expect((await faculty.refused({ kind: 'event-withdrawn', targetSeq: left })).message).toMatch(/take that was left/);
    await faculty.tap({ kind: 'event-withdrawn', targetSeq: words });
    await faculty.tap({ kind: 'event-withdrawn', targetSeq: shared });
    await sleep(400);
    expect(faculty.faculty.view.doses).toEqual([]);
    expect((await faculty.refused({ kind: 'event-withdrawn', targetSeq: left + 2 })).code).toBe('not-withdrawable');
  });
});

describe('speed', () => {
  it('four times, half, and back: the clock follows, on the monitor too, and starts nothing anew', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    await faculty.tap({ kind: 'run-started' });
    const pace = async (factor: 0.5 | 1 | 2 | 4) => {
      const { seq } = await faculty.tap({ kind: 'speed-changed', factor });
      await frameWhere(faculty, (frame) => frame.seq >= seq);
      const [from, at] = [faculty.faculty.anchor?.runMs ?? 0, performance.now()];
      await sleep(1_600);
      const { view, anchor } = faculty.faculty;
      expect(view.live?.speed).toBe(factor);
      expect(anchor?.rate).toBe(factor);
      expect(monitor.monitor).toMatchObject({ speed: factor, anchor: { rate: factor } });
      return ((anchor?.runMs ?? 0) - from) / (performance.now() - at);
    };
    for (const factor of [4, 0.5, 2, 1] as const) {
      const went = await pace(factor);
      // Frames come four times a second: the last may be a quarter of a second old, more on a busy machine.
      expect([factor, went > factor * 0.6, went < factor * 1.25]).toEqual([factor, true, true]);
    }
    expect((await faculty.refused({ kind: 'speed-changed', factor: 3 } as unknown as CommandBody)).code).toBe(
      'bad-shape',
    );
    const before = faculty.faculty.view.clockMs;
    await faculty.tap({ kind: 'run-paused', why: 'discuss' });
    await faculty.tap({ kind: 'speed-changed', factor: 4 });
    await sleep(600);
    expect(faculty.faculty.view.clockMs).toBeLessThan(before + 1_500);
    expect(faculty.faculty.anchor?.rate).toBe(0);
    const { track } = await exported(runId);
    expect(track.map(({ atMs }) => atMs)).toEqual(track.map((_, at) => at * 1_000));
  }, 40_000);
});

describe('the server was away', () => {
  /** A run of some seconds, cut off and brought back after a while. */
  const cutOff = async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(3_300);
    expect(faculty.faculty.awayMs).toBeUndefined();
    await server.kill();
    const cutAt = performance.now();
    await sleep(1_500);
    await server.start();
    const again = await server.faculty(runId);
    await sleep(1_100);
    return { runId, again, cutAt, stoodAt: again.faculty.view.clockMs };
  };

  it('faculty see how long, and let it count: the patient lives through it, once, second by second', async () => {
    const { runId, again, stoodAt } = await cutOff();
    const awayMs = again.faculty.awayMs ?? 0;
    expect(again.faculty.restarted).toBe(true);
    expect(awayMs).toBeGreaterThan(2_500);
    expect(awayMs).toBeLessThan(60_000);
    expect((await again.refused({ kind: 'run-resumed', gapMs: awayMs + 60_000 })).message).toMatch(/stood still/);
    // Somebody is looked after first: the choice is still there, and that time is no part of it.
    await again.tap({ kind: 'run-paused', why: 'someone-not-all-right' });
    const attending = await frameWhere(again, ({ restarted }) => !restarted);
    expect(attending.awayMs).toBeGreaterThanOrEqual(awayMs);
    expect(attending.awayMs).toBeLessThan(awayMs + 5_000);
    const gapMs = Math.floor(awayMs / 100) * 100;
    const { seq } = await again.tap({ kind: 'run-resumed', gapMs });
    await frameWhere(again, (frame) => frame.seq >= seq && frame.view.clockMs >= stoodAt + gapMs);
    expect(again.faculty.awayMs).toBeUndefined();
    expect(again.faculty.view.clockMs).toBeLessThan(stoodAt + gapMs + 5_000);
    expect((await again.refused({ kind: 'run-resumed', gapMs: 100 })).code).toBe('wrong-phase');
    // A pause of another kind has no gap to count.
    await again.tap({ kind: 'run-paused', why: 'faculty' });
    expect((await again.refused({ kind: 'run-resumed', gapMs: 100 })).message).toMatch(/no gap to count/);
    await sleep(300);
    const { view } = again.faculty;
    const { definition, events, track } = await exported(runId);
    expect(track.map(({ atMs }) => atMs)).toEqual(track.map((_, at) => at * 1_000));
    expect(replay(definition, events, { untilMs: view.clockMs }).view().trueVitals).toEqual(view.trueVitals);
  }, 40_000);

  it('cut off again as soon as it goes on, it does not count the same time twice', async () => {
    const { runId, again, stoodAt } = await cutOff();
    const gapMs = Math.floor((again.faculty.awayMs ?? 0) / 100) * 100;
    await again.tap({ kind: 'run-resumed', gapMs });
    await server.kill();
    const cutAt = performance.now();
    await server.start();
    const third = await server.faculty(runId);
    expect(third.faculty.view.clockMs).toBeGreaterThanOrEqual(stoodAt + gapMs);
    // No more than passed since the plug was pulled, and the moment before it.
    expect(third.faculty.awayMs).toBeLessThan(performance.now() - cutAt + 1_000);
    expect((third.faculty.awayMs ?? 0) + gapMs).toBeGreaterThan(gapMs);
  }, 60_000);

  it('or not: the run goes on where it stood, and a tap from before the cut keeps its time', async () => {
    const { again, stoodAt, cutAt } = await cutOff();
    const heldMs = Math.round(performance.now() - cutAt + 2_000);
    const late = await again.tap({ kind: 'note', text: 'two seconds before the cut' }, { heldMs });
    const meanwhile = await again.tap({ kind: 'note', text: 'while it was away' }, { heldMs: heldMs - 2_600 });
    await sleep(200);
    const at = ({ seq: line }: AckMessage) => again.log.get(line)?.event.occurredAtMs ?? -1;
    // The clock is written once a second: it comes back to up to that much before the cut.
    expect(at(late)).toBeLessThan(stoodAt - 500);
    expect(at(late)).toBeGreaterThan(stoodAt - 2_600);
    expect(at(meanwhile)).toBe(stoodAt);
    const { seq } = await again.tap({ kind: 'run-resumed' });
    const frame = await frameWhere(again, (one) => one.seq >= seq && one.view.phase === 'running');
    expect(frame.view.clockMs).toBeLessThan(stoodAt + 1_000);
  }, 40_000);
});

describe('a tap that waited on its screen', () => {
  it('is logged at the time it was made: across a pause, a change of speed, and sent twice', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(1_500);
    const [tapped, clockThen] = [performance.now(), faculty.faculty.anchor];
    await sleep(600);
    await faculty.tap({ kind: 'run-paused', why: 'discuss' });
    await sleep(1_500);
    await faculty.tap({ kind: 'run-resumed' });
    await faculty.tap({ kind: 'speed-changed', factor: 4 });
    await sleep(700);
    const held = () => Math.round(performance.now() - tapped);
    const late = faculty.message(DOSE, { heldMs: held() });
    const ack = await faculty.ask(late);
    // Sent again because the answer was lost: it has waited longer by now, and is the same tap.
    expect(await faculty.ask({ ...late, heldMs: held() + 400 })).toEqual(ack);
    const back = await faculty.tap(
      { kind: 'note', text: 'and a second before that' },
      { heldMs: held(), agoMs: 1_000 },
    );
    // Undone half a second after the dose, before either arrived.
    const undo = await faculty.tap({ kind: 'event-withdrawn', targetSeq: back.seq }, { heldMs: held() - 500 });
    await sleep(200);
    const event = (seq: number) => faculty.log.get(seq)?.event;
    const dose = event((ack as AckMessage).seq);
    const truly = clockThen?.runMs ?? 0;
    // What the console showed may be a frame old.
    expect(Math.abs((dose?.occurredAtMs ?? 0) - truly)).toBeLessThan(500);
    expect(dose?.appliedAtMs).toBeGreaterThan(truly + 2_000);
    expect(Math.abs((event(back.seq)?.occurredAtMs ?? 0) - (truly - 1_000))).toBeLessThan(500);
    expect(Math.abs((event(undo.seq)?.occurredAtMs ?? 0) - (truly + 500))).toBeLessThan(500);
    expect(faculty.log.get(back.seq)?.withdrawnBy).toBe(undo.seq);
    expect((dose?.occurredAtMs ?? 1) % 100).toBe(0);
  }, 30_000);

  it('while the run was wound back belongs to the take that was left, and gives this patient nothing', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(2_000);
    const tapped = performance.now();
    await sleep(400);
    await steer(faculty, { kind: 'wound-back', toMs: 500, fromTake: 1 });
    await sleep(400);
    const held = () => Math.round(performance.now() - tapped);
    const { seq } = await faculty.tap(DOSE, { heldMs: held() });
    // A call for help is about now, however long it waited.
    await faculty.tap({ kind: 'run-paused', why: 'someone-not-all-right' }, { heldMs: held() });
    await sleep(300);
    const { view } = faculty.faculty;
    expect(faculty.log.get(seq)?.event).toMatchObject({ kind: 'intervention', take: 1 });
    expect(faculty.log.get(seq)?.event.occurredAtMs).toBeGreaterThan(1_000);
    expect(view).toMatchObject({ take: 2, phase: 'paused', doses: [] });
    await server.kill();
    await server.start();
    const again = await server.faculty(runId);
    expect(again.faculty.view.trueVitals).toEqual(view.trueVitals);
    expect(again.log.get(seq)?.event).toMatchObject({ kind: 'intervention', take: 1 });
    expect(exportOfTake(await exported(runId, '?take=1')).events.map((event) => event.seq)).toContain(seq);
  }, 30_000);
});
