import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import Sqlite from 'better-sqlite3';
import path from 'node:path';
import { TestScreen, TestServer, copyFolder, sleep } from './server.ts';

let server: TestServer;

beforeEach(async () => {
  server = await TestServer.signedIn();
});

afterEach(async () => {
  await server.dispose();
});

describe('the plug is pulled in the middle of a run', () => {
  it('loses nothing acknowledged, comes back at the same clock, paused, and says so on every screen', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    await server.monitor(joinCode);
    await faculty.tap({ kind: 'device-attached', device: 'oximeter' });
    await faculty.tap({ kind: 'run-started' });
    await sleep(2_500);
    const acks = [];
    for (let tap = 0; tap < 25; tap += 1) acks.push(await faculty.tap({ kind: 'note', text: `note number ${tap}` }));
    const lastDose = faculty.message({
      kind: 'intervention',
      intervention: 'adrenaline-im',
      step: 'given',
      amount: 300,
      unit: 'micrograms',
      doseSeen: true,
    });
    const doseAck = await faculty.ask(lastDose);
    expect(doseAck).toMatchObject({ t: 'ack', seq: 28 });
    const before = faculty.faculty.view.clockMs;
    const known = new Map(faculty.log);
    await server.kill();

    await server.start();
    // The session outlives the server: nobody signs in again in the middle of a drill.
    expect((await server.call('GET', '/api/me')).body).toEqual({ role: 'faculty' });
    // So does what a screen comes back with: it needs no ticket either.
    const again = await TestScreen.join(server.origin, faculty.again);
    const monitor = await server.monitor(joinCode);

    for (const [seq, { event }] of known) expect(again.log.get(seq)?.event).toEqual(event);
    for (const { seq } of acks) expect(again.log.get(seq)?.event.kind).toBe('note');
    expect(again.log.get(28)?.event).toMatchObject({ kind: 'intervention', amount: 300 });
    expect(again.log.get(29)?.event).toMatchObject({
      kind: 'run-paused',
      why: 'server-restart',
      by: { role: 'server' },
    });
    expect([...again.log.keys()].sort((a, b) => a - b)).toEqual(Array.from({ length: 29 }, (_, at) => at + 1));

    const { view, restarted } = again.faculty;
    expect(view).toMatchObject({ phase: 'paused', pausedWhy: 'server-restart' });
    expect(Math.abs(view.clockMs - before)).toBeLessThanOrEqual(1_100);
    expect(restarted).toBe(true);
    expect(monitor.monitor).toMatchObject({ phase: 'paused', restarted: true, clockMs: view.clockMs });
    await sleep(600);
    expect(again.faculty.view.clockMs).toBe(view.clockMs);

    // The same tap, sent again by a screen that did not hear the answer, is the same line of the log.
    expect(await again.ask(lastDose)).toEqual(doseAck);
    expect(again.faculty.seq).toBe(29);

    const from = monitor.received.length;
    await again.tap({ kind: 'run-resumed' });
    await monitor.until((message) => message.t === 'monitor' && message.phase === 'running' && !message.restarted, {
      from,
    });
    await sleep(600);
    expect(again.faculty.restarted).toBe(false);
    expect(again.faculty.view.clockMs).toBeGreaterThan(view.clockMs);
  });

  it('keeps what was shown as it was shown, one row a second, across the crash and an undo', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await faculty.tap({ kind: 'vital-overridden', vital: 'spo2Percent', to: 71, overMs: 0 }, { baseSeq: 1 });
    await sleep(3_200);
    await faculty.tap({ kind: 'event-withdrawn', targetSeq: 2 });
    await sleep(2_200);
    await server.kill();
    await server.start();
    const again = await server.faculty(runId);
    await again.tap({ kind: 'run-resumed' });
    await sleep(1_300);
    const { body } = await server.call<{ track: { atMs: number; true: { spo2Percent: number } }[] }>(
      'GET',
      `/api/runs/${runId}/export`,
    );
    expect(body.track.map(({ atMs }) => atMs)).toEqual(body.track.map((_, at) => at * 1_000));
    expect(body.track.length).toBeGreaterThanOrEqual(5);
    // Shown as 71 until the undo, and never rewritten afterwards.
    for (const row of body.track.slice(1, 3)) expect(row.true.spo2Percent).toBe(71);
    expect(body.track.at(-1)?.true.spo2Percent).toBeGreaterThan(90);
  });

  it('a stop for a real emergency is still a stop after the crash', async () => {
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await faculty.tap({ kind: 'real-emergency-stop' });
    await server.kill();
    await server.start();
    const monitor = await server.monitor(joinCode);
    expect(monitor.monitor.blank).toBe(true);
  });
});

describe('what acknowledged means', () => {
  it('is on disk at the moment of the answer: a copy of the files taken then holds the event', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    const { seq } = await faculty.tap({ kind: 'note', text: 'written down' });
    const db = new Sqlite(path.join(copyFolder(server.dataFolder), 'breathline.db'), { readonly: true });
    const row = db.prepare('SELECT kind, body FROM Event WHERE runId = ? AND seq = ?').get(runId, seq) as {
      kind: string;
      body: string;
    };
    expect(row.kind).toBe('note');
    // The words are beside the log, not in it.
    expect(row.body).not.toContain('written down');
    const text = db.prepare('SELECT text FROM EventText WHERE runId = ? AND seq = ?').get(runId, seq);
    expect(text).toEqual({ text: 'written down' });
    db.close();
  });

  it('a second server on the same folder refuses to start, in words', async () => {
    const second = new TestServer({ BREATHLINE_DATA: server.dataFolder });
    await expect(second.start()).rejects.toThrow(/Another Breathline server is already using/);
    await second.dispose();
  });

  it('Ctrl-C stops cleanly, and the run comes back', async () => {
    const { runId } = await server.newRun();
    const faculty = await server.faculty(runId);
    await faculty.tap({ kind: 'run-started' });
    await sleep(1_300);
    const { clockMs } = faculty.faculty.view;
    expect(await server.stop()).toBe(0);
    await server.start();
    const again = await server.faculty(runId);
    expect(again.faculty.view.clockMs).toBeGreaterThanOrEqual(clockMs);
    expect(again.faculty.restarted).toBe(true);
  });
});
