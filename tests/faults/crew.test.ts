import { createConnection, createServer, type AddressInfo, type Server, type Socket } from 'node:net';
import { once } from 'node:events';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { EVENT_FIELDS, runClockAt, serverOffsetMs, type CommandBody, type PingSample } from '@breathline/protocol';
import { MonitorFrameSchema, CrewFrameSchema, check, type MonitorFrame } from '@breathline/protocol';
import { jpeg, png, segment } from '../../apps/server/test/pictures.ts';
import { TestScreen, TestServer, sleep, type NewRunAnswer, type Problem } from './server.ts';

let server: TestServer;

beforeAll(async () => {
  server = await TestServer.signedIn();
});

afterAll(async () => {
  await server.dispose();
});

/** A run under way with its lead. */
const started = async (): Promise<NewRunAnswer & { lead: TestScreen }> => {
  const run = await server.newRun();
  const lead = await server.faculty(run.runId);
  await lead.tap({ kind: 'run-started' });
  return { ...run, lead };
};

describe('several at once', () => {
  it('a lead, a logger and two observers tap as fast as they can: one log, in one order, the same for all who see it', async () => {
    const { runId, crewCode, lead } = await started();
    const logger = await server.crew(crewCode, 'logger');
    const [one, two] = [await server.crew(crewCode, 'observer'), await server.crew(crewCode, 'observer')];
    const writers: [TestScreen, (at: number) => CommandBody][] = [
      [lead, (at) => ({ kind: 'note', text: `lead ${at}` })],
      [
        logger,
        (at) => ({
          kind: 'intervention',
          intervention: 'oxygen-mask',
          step: 'given',
          amount: null,
          doseSeen: false,
          note: `logger ${at}`,
        }),
      ],
      [one, (at) => ({ kind: 'comment', text: `one ${at}` })],
      [two, (at) => ({ kind: 'comment', text: `two ${at}`, about: 'good' })],
    ];
    const acks = await Promise.all(
      writers.map(async ([screen, body]) => {
        const seqs: number[] = [];
        for (let at = 0; at < 15; at += 1) seqs.push((await screen.tap(body(at))).seq);
        return seqs;
      }),
    );
    await sleep(600);
    const all = acks.flat();
    expect(new Set(all).size).toBe(60);
    for (const seqs of acks) expect(seqs).toEqual([...seqs].sort((a, b) => a - b));
    expect([...lead.log.keys()].sort((a, b) => a - b)).toEqual(Array.from({ length: 61 }, (_, at) => at + 1));
    expect([...logger.log.entries()].sort()).toEqual([...lead.log.entries()].sort());
    const roles = acks.map((seqs) => [...new Set(seqs.map((seq) => lead.log.get(seq)?.event.by.role))]);
    expect(roles).toEqual([['lead'], ['logger'], ['observer'], ['observer']]);
    // Each observer's phone shows its own words and not the other's.
    expect(one.crew.comments.map(({ text }) => text)).toEqual(Array.from({ length: 15 }, (_, at) => `one ${at}`));
    expect(two.crew.comments.every(({ text }) => text.startsWith('two'))).toBe(true);
    expect(lead.faculty.screens).toEqual({ monitors: 0, faculty: 1, crew: 3 });
    expect(lead.faculty.crewCode).toBe(crewCode);
    const ready = await server.call<{ runs: { runId: string }[] }>('GET', '/api/ready');
    expect(ready.body.runs.find((run) => run.runId === runId)).toMatchObject({ faculty: 1, loggers: 1, observers: 2 });
    for (const [screen] of writers) screen.close();
  });

  it('a phone that comes back keeps its seat, and what was its own; a logger without a cookie leads nothing', async () => {
    const { crewCode, lead } = await started();
    const phone = await server.crew(crewCode, 'observer', 'seat-of-my-own');
    const { seq } = await phone.tap({ kind: 'comment', text: 'mine' });
    phone.close();
    const again = await server.crew(crewCode, 'observer', 'seat-of-my-own');
    expect(again.crew).toMatchObject({ seat: 'seat-of-my-own', comments: [{ seq, text: 'mine' }] });
    await again.tap({ kind: 'event-withdrawn', targetSeq: seq });
    await again.until((message) => message.t === 'crew' && message.comments.length === 0, { from: 1 });
    const logger = await server.crew(crewCode, 'logger');
    const { seq: theirs } = await lead.tap({ kind: 'note', text: 'of the lead' });
    const { seq: own } = await logger.tap({ kind: 'note', text: 'of the logger' });
    expect((await logger.refused({ kind: 'event-withdrawn', targetSeq: theirs })).code).toBe('wrong-role');
    await logger.tap({ kind: 'event-withdrawn', targetSeq: own });
    // Another seat named in the message is not believed.
    const other = await server.crew(crewCode, 'observer', 'another-seat');
    const { seq: ours } = await again.tap({ kind: 'mark' });
    other.clientId = 'seat-of-my-own-2';
    expect((await other.refused({ kind: 'event-withdrawn', targetSeq: ours })).code).toBe('wrong-role');
    for (const screen of [again, logger, other, lead]) screen.close();
  });
});

describe('each part, over its own line', () => {
  /** A body of each kind that no part but faculty may send at all, whatever stands in it. */
  const LEADS_ONLY: CommandBody[] = [
    { kind: 'run-paused', why: 'faculty' },
    { kind: 'run-paused', why: 'discuss' },
    { kind: 'run-resumed' },
    { kind: 'run-ended', why: 'x' },
    { kind: 'real-emergency-cleared' },
    { kind: 'state-forced', thread: 'main', state: 'settled' },
    { kind: 'faculty-flag', label: 'x' },
    { kind: 'vital-overridden', vital: 'spo2Percent', to: 50, overMs: 0 },
    { kind: 'vital-released', vital: 'spo2Percent', overMs: 0 },
    { kind: 'course-steered', direction: 'worse', pace: 'fast' },
    { kind: 'course-released' },
    { kind: 'wound-back', toMs: 0, fromTake: 1 },
    { kind: 'speed-changed', factor: 4 },
    { kind: 'sound-changed', volumePercent: 100, pulseTone: true, alarms: true },
    { kind: 'sound-played', sound: 'door' },
    { kind: 'alarm-limit', vital: 'spo2Percent', low: 1, high: null },
    { kind: 'learner-controls', cuff: true, silence: true, probes: true },
    { kind: 'exhibit-shown', exhibit: 'x' },
    { kind: 'exhibit-hidden', exhibit: 'x' },
    { kind: 'listening', on: true },
    { kind: 'happening', what: 'phone' },
    { kind: 'arrest-decided', allow: true },
  ];
  const TEAM: CommandBody[] = [
    { kind: 'intervention', intervention: 'oxygen-mask', step: 'given', amount: null, doseSeen: false },
    { kind: 'assessment', intervention: 'look-and-listen' },
    { kind: 'device-removed', device: 'ecg' },
    { kind: 'note', text: 'x' },
    { kind: 'errand-sent', errand: 'kit', what: 'x', delayMs: 0 },
  ];

  it('what is not theirs is refused and leaves no line, on every part’s own socket', async () => {
    for (const body of LEADS_ONLY) expect(EVENT_FIELDS).toHaveProperty(body.kind);
    const { joinCode, crewCode, lead } = await started();
    await lead.tap({ kind: 'learner-controls', cuff: false, silence: false, probes: false });
    const logger = await server.crew(crewCode, 'logger');
    const observer = await server.crew(crewCode, 'observer');
    const participant = await server.crew(crewCode, 'participant');
    const monitor = await server.monitor(joinCode);
    const { seq } = lead.faculty;
    const tries: [string, TestScreen, CommandBody[]][] = [
      ['logger', logger, LEADS_ONLY],
      [
        'observer',
        observer,
        [...LEADS_ONLY, ...TEAM, { kind: 'cue-spoken', cue: 'throat' }, { kind: 'family-distress', level: 3 }],
      ],
      ['participant', participant, [...LEADS_ONLY, ...TEAM, { kind: 'mark' }]],
      [
        'monitor',
        monitor,
        [
          ...LEADS_ONLY,
          ...TEAM,
          { kind: 'cuff-pressed' },
          { kind: 'device-attached', device: 'ecg' },
          { kind: 'alarm-paused', forMs: 1_000 },
          { kind: 'comment', text: 'x' },
        ],
      ],
    ];
    for (const [part, screen, bodies] of tries) {
      for (const body of bodies) {
        const refused = await screen.refused(body, { baseSeq: seq });
        expect([part, body.kind, refused.code]).toEqual([part, body.kind, 'wrong-role']);
      }
    }
    await sleep(200);
    expect(lead.faculty.seq).toBe(seq);
    expect(lead.faculty.view.phase).toBe('running');

    // And what is theirs is taken.
    await lead.tap({ kind: 'learner-controls', cuff: true, silence: true, probes: true });
    await monitor.tap({ kind: 'device-attached', device: 'bp-cuff' });
    await monitor.tap({ kind: 'cuff-pressed' });
    expect(await monitor.tap({ kind: 'alarm-paused', forMs: 60_000 })).toMatchObject({ seq: 0 });
    await participant.tap({ kind: 'family-distress', level: 2 });
    await participant.tap({ kind: 'happening', what: 'family-question', text: 'Will he be all right?' });
    await observer.tap({ kind: 'system-problem', category: 'kit', text: 'No masks.' });
    // Also while the clock stands for another reason; every screen then says for whom, and a plain pause does not undo that.
    await lead.tap({ kind: 'run-paused', why: 'discuss' });
    expect(participant.crew).not.toHaveProperty('notAllRight');
    await observer.tap({ kind: 'run-paused', why: 'someone-not-all-right' });
    await lead.refused({ kind: 'run-paused', why: 'faculty' });
    await sleep(300);
    for (const frame of [observer.crew, participant.crew, monitor.monitor])
      expect(frame).toMatchObject({ phase: 'paused', notAllRight: true });
    expect(lead.faculty.view).toMatchObject({ phase: 'paused', pausedWhy: 'someone-not-all-right' });
    expect(monitor.monitor.alarm?.pausedUntilMs).not.toBeNull();
    await participant.tap({ kind: 'real-emergency-stop' });
    for (const screen of [observer, participant])
      await screen.until((message) => message.t === 'crew' && message.blank);

    // Nothing of the patient, of the scenario or of the run's id ever went to a phone or a monitor.
    for (const screen of [observer, participant]) {
      for (const message of screen.received)
        if (message.t === 'crew') expect(check(CrewFrameSchema, message)).toMatchObject({ ok: true });
      expect(screen.texts.join('\n')).not.toMatch(
        /SECRET-(STATE|SAYS|BECAUSE|OUTCOME)|TELLING|trueVitals|spo2Percent"/,
      );
    }
    expect(observer.texts.join('\n')).not.toMatch(/SECRET/);
    for (const message of monitor.received)
      if (message.t === 'monitor') expect(check(MonitorFrameSchema, message)).toMatchObject({ ok: true });
    expect(monitor.texts.join('\n')).not.toMatch(/SECRET|TELLING|masks|all right/);
    for (const [, screen] of tries) screen.close();
  }, 40_000);

  it('each phone shows what is its part’s own: ticks of this seat, the family as it stands; the monitor the picture, unnamed', async () => {
    const { joinCode, crewCode, lead } = await started();
    const [one, two] = [await server.crew(crewCode, 'observer'), await server.crew(crewCode, 'observer')];
    const actor = await server.crew(crewCode, 'participant');
    const monitor = await server.monitor(joinCode);
    await one.tap({ kind: 'behaviour-ticked', behaviour: 'leads', seen: 'seen' });
    await two.tap({ kind: 'behaviour-ticked', behaviour: 'leads', seen: 'not-seen' });
    expect((await one.refused({ kind: 'behaviour-ticked', behaviour: 'sings', seen: 'seen' })).code).toBe(
      'unknown-target',
    );
    await actor.tap({ kind: 'family-history-told', item: 'lunch' });
    await actor.tap({ kind: 'family-worry', item: 'quiet', step: 'voiced' });
    expect((await actor.refused({ kind: 'family-worry', item: 'loud', step: 'voiced' })).code).toBe('unknown-target');
    await lead.tap({ kind: 'exhibit-shown', exhibit: 'secret-collapsed-lung' });
    await lead.tap({ kind: 'listening', on: true });
    await sleep(400);
    const seen = (screen: TestScreen) => screen.crew.behaviours.map(({ id, seen: how }) => [id, how]);
    expect([seen(one), seen(two)]).toEqual([
      [
        ['leads', 'seen'],
        ['loop', null],
      ],
      [
        ['leads', 'not-seen'],
        ['loop', null],
      ],
    ]);
    expect(lead.faculty.view.live?.behaviours[0]?.ticks.length).toBe(2);
    expect(actor.crew.family).toMatchObject({
      distress: 1,
      members: [{ who: 'Aunt', history: [{ id: 'lunch' }], worries: [{ id: 'quiet', step: 'voiced' }] }],
    });
    expect(actor.crew.family?.members[0]?.history[0]?.toldAtMs).not.toBeNull();
    const [shown] = monitor.monitor.exhibits ?? [];
    expect(shown).toMatchObject({ id: 'exhibit-1', title: 'Chest X-ray', kind: 'x-ray', text: 'A film.' });
    expect(shown?.picture).toMatch(/^\/api\/exhibits\/[0-9a-f]{32}\.svg$/);
    const chest = monitor.monitor.chest;
    expect(Object.keys(chest ?? {}).sort()).toEqual(['left', 'right', 'stridor']);
    await lead.tap({ kind: 'listening', on: false });
    await sleep(300);
    expect(monitor.monitor.chest).toBeNull();
    expect(monitor.texts.join('\n')).not.toMatch(/secret/i);
    for (const screen of [one, two, actor, monitor, lead]) screen.close();
  });

  it('no message to any of them carries the run’s id', async () => {
    const { runId, joinCode, crewCode, lead } = await started();
    const screens = [
      await server.monitor(joinCode),
      await server.crew(crewCode, 'logger'),
      await server.crew(crewCode, 'observer'),
      await server.crew(crewCode, 'participant'),
    ];
    await lead.tap({ kind: 'mark' });
    await sleep(1_200);
    for (const screen of screens) {
      expect(screen.texts.length).toBeGreaterThan(1);
      expect(screen.texts.join('\n')).not.toContain(runId);
      screen.close();
    }
    lead.close();
  });
});

describe('pictures, over the wire', () => {
  it('hostile ones are refused and the server goes on; a good one comes in by a pass', async () => {
    const { runId, crewCode, lead } = await started();
    const { pass } = await server.crew(crewCode, 'observer');
    const send = (body: Blob, headers: Record<string, string>) =>
      server.call<Problem & { photo?: string }>('POST', '/api/crew/photos', body, { anonymous: true, headers });
    const as = (type: string) => ({ 'content-type': type, authorization: `Bearer ${pass}` });
    const blob = (bytes: Buffer) => new Blob([new Uint8Array(bytes)]);
    const endless = Buffer.concat([
      Buffer.from([0xff, 0xd8]),
      ...Array.from({ length: 60_000 }, () => segment(0xe1, '')),
    ]);
    const lying = Buffer.concat([
      png().subarray(0, 8),
      Buffer.from([0x7f, 0xff, 0xff, 0xff]),
      Buffer.from('IHDR'),
      Buffer.alloc(40),
    ]);
    const none: [Buffer, string][] = [
      [endless, 'image/jpeg'],
      [lying, 'image/png'],
      [Buffer.alloc(5 * 1024 * 1024, 0xff), 'image/jpeg'],
      [Buffer.from('RIFF\xff\xff\xff\xffWEBPVP8X\xff\xff\xff\xff', 'latin1'), 'image/webp'],
    ];
    for (const [bytes, type] of none) expect((await send(blob(bytes), as(type))).body.code).toBe('bad-photo');
    const large = blob(Buffer.alloc(7 * 1024 * 1024, 1));
    // Refused before it is read; the line may be cut while the sender is still sending.
    const tooLarge = await send(large, as('image/jpeg')).catch(() => null);
    expect([413, undefined]).toContain(tooLarge?.status);
    expect((await send(blob(png()), { 'content-type': 'image/png' })).status).toBe(401);
    const { status, body } = await send(blob(jpeg()), as('image/jpeg'));
    expect(status).toBe(200);
    await lead.tap({ kind: 'system-problem', category: 'drug', photo: body.photo ?? '' });
    const back = await fetch(`${server.origin}/api/runs/${runId}/photos/${body.photo ?? ''}`);
    expect(back.status).toBe(401);
    lead.close();
  });
});

/** A line that takes its time, so much each way: everything arrives whole and in order, late. */
class SlowLine {
  readonly #server: Server;
  readonly #open = new Set<Socket>();

  private constructor(origin: string, upMs: number, downMs: number) {
    const { hostname, port } = new URL(origin);
    this.#server = createServer((near) => {
      const far = createConnection(Number(port), hostname);
      const late = (from: Socket, to: Socket, byMs: number) => {
        this.#open.add(from);
        from.on('data', (data: Buffer) => setTimeout(() => to.writable && to.write(data), byMs));
        from.on('close', () => to.destroy());
        from.on('error', () => to.destroy());
      };
      late(near, far, upMs);
      late(far, near, downMs);
    });
  }

  static async open(origin: string, upMs: number, downMs: number): Promise<SlowLine & { origin: string }> {
    const line = new SlowLine(origin, upMs, downMs);
    line.#server.listen(0, '127.0.0.1');
    await once(line.#server, 'listening');
    return Object.assign(line, { origin: `http://127.0.0.1:${(line.#server.address() as AddressInfo).port}` });
  }

  close(): void {
    for (const socket of this.#open) socket.destroy();
    this.#server.close();
  }
}

describe('two monitors', () => {
  /** The run clock as a monitor works it out now: its last anchor, and its own idea of the server's clock. */
  const clockOf = (screen: TestScreen, offsetMs: number): number => {
    const { anchor } = screen.monitor;
    if (!anchor) throw new Error('no anchor');
    return runClockAt(anchor, performance.now() + offsetMs);
  };

  /** How far this screen's clock is from the server's, by five pings. */
  const offsetOf = async (screen: TestScreen): Promise<number> => {
    const samples: PingSample[] = [];
    for (let n = 1; n <= 5; n += 1) {
      const sentMs = performance.now();
      const from = screen.received.length;
      screen.send({ t: 'ping', n });
      const pong = await screen.until((message) => message.t === 'pong', { from });
      samples.push({ sentMs, gotMs: performance.now(), serverMs: (pong as { serverMs?: number }).serverMs ?? NaN });
    }
    return serverOffsetMs(samples) ?? NaN;
  };

  it('one on a good line, one that hears everything 400 ms late: they never disagree by 250 ms, at any speed', async () => {
    const { joinCode, lead } = await started();
    const slow = await SlowLine.open(server.origin, 300, 400);
    const ticket = async () =>
      (await server.call<{ ticket: string }>('POST', '/api/join', { code: joinCode }, { anonymous: true })).body.ticket;
    const near = await TestScreen.join(server.origin, await ticket());
    const far = await TestScreen.join(slow.origin, await ticket());
    const [nearOffset, farOffset] = [await offsetOf(near), await offsetOf(far)];
    let worst = 0;
    let apart = 0;
    for (const factor of [1, 2] as const) {
      await lead.tap({ kind: 'speed-changed', factor });
      // A change of pace reaches the far one late: until then they may differ by what a frame's delay is worth.
      await sleep(900);
      for (let look = 0; look < 40; look += 1) {
        await sleep(50);
        worst = Math.max(worst, Math.abs(clockOf(near, nearOffset) - clockOf(far, farOffset)));
        apart = Math.max(apart, Math.abs(near.monitor.clockMs - far.monitor.clockMs));
      }
    }
    expect(worst).toBeLessThan(250);
    // Going by the arrival of frames alone they would have been further apart: the test can tell.
    expect(apart).toBeGreaterThan(250);
    expect(far.received.filter((message): message is MonitorFrame => message.t === 'monitor').length).toBeGreaterThan(
      5,
    );
    for (const screen of [near, far, lead]) screen.close();
    slow.close();
  }, 30_000);
});
