/**
 * A long run, as a long drill would be: a console, two monitors and an observer's phone in one real browser, against the real
 * server. Everything random comes from the seed. What must hold at the end is in `PROMISES`.
 */
import { loadavg } from 'node:os';
import type { RunExport } from '@breathline/engine';
import {
  Device,
  button,
  firstPassphrase,
  joinByCode,
  joinCodeOf,
  launch,
  realServer,
  signIn,
  startRunOf,
  until,
} from '../journeys/drive.ts';
import { peopledScenarios } from '../journeys/peopled.ts';
import { sleep, type TestServer } from '../faults/server.ts';
import { whyOf, type Back } from './backs.ts';
import { apart, median, percentile, rise, seeded, slopePerHour, type At } from './figures.ts';
import { Watched, residentMb } from './screens.ts';

const TITLE = 'Cashew anaphylaxis after the cookery club';
const LOOK_EVERY_MS = 10_000;
/** Memory is read so many times in a run of any length. */
const WEIGHINGS = 24;
/** After a break: time for the clocks to be told anew, ms. */
const SETTLE_MS = 2_000;

/** What must hold, in numbers. Heaps after a forced collection, last third of the run against the first. */
const PROMISES = {
  /** The log grows with every tap and the console holds all of it. */
  consoleRiseMb: 12,
  screenRiseMb: 4,
  serverRiseMb: 60,
  nodesRise: 1_500,
  apartMs: 250,
} as const;

/** What a thumb does again and again. */
const TAPS = ['Mark', 'Lie flat', 'Oxygen 15 L/min', 'Call for help', /^Reassessed$/, 'Says anaphylaxis'] as const;

export interface SoakOptions {
  readonly minutes: number;
  readonly seed: number;
  readonly json: boolean;
}

interface Finding {
  readonly what: string;
  readonly found: string;
  readonly holds: boolean | null;
}

/** Runs it. True when everything held. */
export async function soak({ minutes, seed, json }: SoakOptions): Promise<boolean> {
  const random = seeded(seed);
  const server = realServer({ BREATHLINE_SCENARIOS: peopledScenarios() });
  const say = (words: string): void => void (json || console.log(words));
  await server.start();
  const browser = await launch();
  try {
    const drill = await setUp(server, browser, say);
    return await live(drill, server, random, { minutes, seed, json }, say);
  } finally {
    await browser.close();
    await server.dispose();
  }
}

interface Drill {
  readonly runId: string;
  readonly passphrase: string;
  readonly console: Watched;
  readonly one: Watched;
  readonly two: Watched;
  readonly phone: Watched;
  readonly command: (command: object) => Promise<void>;
}

async function setUp(
  server: TestServer,
  browser: Awaited<ReturnType<typeof launch>>,
  say: (words: string) => void,
): Promise<Drill> {
  const faculty = await Device.open(browser, [1366, 768], 'every');
  const one = await Device.open(browser, [1024, 768], 'every');
  const two = await Device.open(browser, [1366, 768], 'every');
  const phone = await Device.open(browser, [390, 844], 'every');
  const passphrase = firstPassphrase(server);
  await server.call('POST', '/api/login', { passphrase });
  await signIn(faculty, server, passphrase);
  const runId = await startRunOf(faculty, TITLE);
  const code = await joinCodeOf(faculty);
  await joinByCode(one, server, code);
  await joinByCode(two, server, code);
  await until('the crew code is known', () => (faculty.faculty.crewCode ?? '') !== '');
  await phone.page.goto(`${server.origin}/join`);
  await phone.page.getByLabel('Type the code').fill(faculty.faculty.crewCode ?? '');
  await phone.page.getByRole('button', { name: /^Observer/ }).click();
  await phone.page.waitForURL('**/crew**');
  await faculty.page.goto(`${server.origin}/console/${runId}`);
  await button(faculty, 'Start the run').click();
  await until('it runs', () => one.monitor.phase === 'running' && two.monitor.phase === 'running');
  let n = 0;
  const command = async (body: object): Promise<void> => {
    n += 1;
    await server.call('POST', `/api/runs/${runId}/commands`, { t: 'command', clientId: 'soak', n, command: body });
  };
  for (const device of ['ecg', 'oximeter', 'bp-cuff', 'capnography'])
    await command({ kind: 'device-attached', device });
  await command({ kind: 'cuff-interval', everyMs: 60_000 });
  say('Four screens are up and the run goes.');
  return {
    runId,
    passphrase,
    console: await Watched.of('console', faculty, false),
    one: await Watched.of('monitor 1', one, true),
    two: await Watched.of('monitor 2', two, true),
    phone: await Watched.of('observer', phone, false),
    command,
  };
}

async function live(
  drill: Drill,
  server: TestServer,
  random: () => number,
  options: SoakOptions,
  say: (words: string) => void,
): Promise<boolean> {
  const { minutes } = options;
  const all = [drill.console, drill.one, drill.two, drill.phone];
  const serverMb: At[] = [];
  const backs: Back[] = [];
  /** Times on the wall when monitors are not held to each other: from the kill to the run going on. */
  let killed: { from: number; to: number } | null = null;
  let restartS = NaN;
  let taps = 0;
  let missed = 0;
  let drops = 0;

  const startedMs = Date.now();
  const endMs = startedMs + minutes * 60_000;
  const killAtMs = startedMs + minutes * 60_000 * 0.2;
  const weighEveryMs = (minutes * 60_000) / WEIGHINGS;
  let nextWeighMs = startedMs;
  let nextLookMs = startedMs + LOOK_EVERY_MS;
  let nextTapMs = startedMs;
  let nextDropMs = startedMs + 20_000;
  const back: { screen: Watched; wentMs: number; atMs: number }[] = [];
  const passed = (): number => (Date.now() - startedMs) / 60_000;

  while (Date.now() < endMs) {
    const now = Date.now();
    for (const screen of all) screen.gather();

    if (killed === null && now >= killAtMs) {
      for (const { screen } of back.splice(0)) await screen.device.context.setOffline(false);
      const from = Date.now();
      await server.kill();
      server.env['PORT'] = new URL(server.origin).port;
      await server.start();
      const faculty = drill.console.device;
      await button(faculty, 'Resume').first().click();
      await until('the monitors go on', async () => {
        for (const { device } of [drill.one, drill.two])
          if ((await device.page.locator('.monitor[data-notice=""]').count()) === 0) return false;
        return true;
      });
      killed = { from: from, to: Date.now() + SETTLE_MS };
      restartS = (Date.now() - from) / 1000;
      say(`${passed().toFixed(1)} min: the server was killed and is back after ${restartS.toFixed(1)} s`);
      nextDropMs = Date.now() + 15_000;
    }

    if (now >= nextTapMs) {
      nextTapMs = now + 1_500 + random() * 5_000;
      const dropped = back.some(({ screen }) => screen === drill.phone);
      if (random() < 0.2 && !dropped) {
        const mark = button(drill.phone.device, 'Mark this moment');
        await mark.click({ timeout: 4_000 }).then(
          () => (taps += 1),
          () => (missed += 1),
        );
      } else {
        const name = TAPS[Math.floor(random() * TAPS.length)]!;
        const target = button(drill.console.device, name).first();
        await target.click({ timeout: 4_000 }).then(
          () => (taps += 1),
          () => (missed += 1),
        );
        await drill.console.device.page.keyboard.press('Escape');
      }
    }

    if (now >= nextDropMs) {
      nextDropMs = now + 15_000 + random() * 45_000;
      const screen = all[Math.floor(random() * all.length)]!;
      if (!back.some((each) => each.screen === screen)) {
        drops += 1;
        await screen.device.context.setOffline(true);
        back.push({ screen, wentMs: now, atMs: now + 2_000 + random() * 14_000 });
      }
    }
    for (const each of back.filter(({ atMs }) => now >= atMs)) {
      back.splice(back.indexOf(each), 1);
      const heard = each.screen.device.texts.length;
      const from = Date.now();
      await each.screen.device.context.setOffline(false);
      // The whole of a join and the first frame behind it.
      await until(
        `${each.screen.name} is back`,
        () =>
          each.screen.device.texts.length > heard &&
          /^\{"t":"(monitor|faculty|crew)"/.test(each.screen.device.texts.at(-1) ?? ''),
      );
      backs.push({
        screen: each.screen.name,
        ms: Date.now() - from,
        atMinutes: passed(),
        awayS: (from - each.wentMs) / 1000,
        sinceRestartS: killed === null ? null : (from - (killed.to - SETTLE_MS)) / 1000,
        load: loadavg()[0] ?? NaN,
      });
    }

    if (now >= nextLookMs) {
      nextLookMs = now + LOOK_EVERY_MS;
      for (const screen of all) await screen.measure();
    }
    if (now >= nextWeighMs) {
      nextWeighMs += weighEveryMs;
      for (const screen of all) await screen.weigh(passed());
      serverMb.push({ minutes: passed(), value: residentMb(server.pid ?? 0) });
      say(
        `${passed().toFixed(1).padStart(5)} min  ` +
          all.map(({ name, heapMb }) => `${name} ${heapMb.at(-1)!.value.toFixed(1)}`).join('  ') +
          `  server ${serverMb.at(-1)!.value.toFixed(0)} MB`,
      );
    }
    await sleep(250);
  }

  for (const { screen } of back) await screen.device.context.setOffline(false);
  await sleep(6_000);
  for (const screen of all) {
    await screen.measure();
    await screen.weigh(passed());
    screen.gather();
  }
  const run = (await server.call<RunExport>('GET', `/api/runs/${drill.runId}/export`)).body;
  const findings = judge({ all, drill, run, serverMb, backs, startedMs, killed, restartS, taps, missed, drops });
  const bad = findings.filter(({ holds }) => holds === false);
  if (options.json) console.log(JSON.stringify({ ...options, findings }, null, 2));
  else {
    console.log(`\nSoak of ${minutes} min, seed ${options.seed}: ${taps} taps, ${drops} broken networks, 1 kill\n`);
    for (const { what, found, holds } of findings)
      console.log(`${holds === null ? '    ' : holds ? 'ok  ' : 'BAD '} ${what.padEnd(58)} ${found}`);
  }
  return bad.length === 0;
}

function judge(seen: {
  all: readonly Watched[];
  drill: Drill;
  run: RunExport;
  serverMb: readonly At[];
  backs: readonly Back[];
  startedMs: number;
  killed: { from: number; to: number } | null;
  restartS: number;
  taps: number;
  missed: number;
  drops: number;
}): Finding[] {
  const findings: Finding[] = [];
  const add = (what: string, found: string, holds: boolean | null = null): void =>
    void findings.push({ what, found, holds });
  const mb = (value: number): string => `${value.toFixed(1)} MB`;

  for (const screen of seen.all) {
    const most = screen.name === 'console' ? PROMISES.consoleRiseMb : PROMISES.screenRiseMb;
    const grew = rise(screen.heapMb);
    add(
      `${screen.name}: heap after collection`,
      `${mb(screen.heapMb[0]!.value)} to ${mb(screen.heapMb.at(-1)!.value)}, rise ${mb(grew)} (${slopePerHour(screen.heapMb).toFixed(1)} MB/h)`,
      grew <= most,
    );
    const nodes = rise(screen.nodes);
    add(
      `${screen.name}: elements, listeners`,
      `${screen.nodes.at(-1)!.value} (rise ${nodes.toFixed(0)}), ${screen.listeners.at(-1)!.value} (rise ${rise(screen.listeners).toFixed(0)})`,
      screen.name === 'console' ? null : nodes <= PROMISES.nodesRise,
    );
    add(
      `${screen.name}: main thread, ms of each second`,
      `middle ${median(screen.busyMsPerS).toFixed(0)}, 95th ${percentile(screen.busyMsPerS, 0.95).toFixed(0)}`,
    );
    if (screen.isMonitor)
      add(
        `${screen.name}: frames drawn a second; its own work, ms/s`,
        `middle ${median(screen.drawnPerS).toFixed(0)}, 5th ${percentile(screen.drawnPerS, 0.05).toFixed(0)}; ${median(screen.ownMsPerS).toFixed(1)}`,
        median(screen.drawnPerS) > 0,
      );
  }
  const after = seen.serverMb.filter(({ minutes }) => minutes > (seen.serverMb.at(-1)?.minutes ?? 0) * 0.25);
  add(
    'server: resident memory since its restart',
    `${mb(after[0]?.value ?? NaN)} to ${mb(after.at(-1)?.value ?? NaN)}, rise ${mb(rise(after))}`,
    rise(after) <= PROMISES.serverRiseMb,
  );

  const { one, two } = seen.drill;
  const all = apart(one.looks, two.looks).filter(
    ({ wall }) => seen.killed === null || wall < seen.killed.from || wall > seen.killed.to,
  );
  const touch = all.filter(({ inTouch }) => inTouch).map(({ ms }) => ms);
  const alone = all.filter(({ inTouch }) => !inTouch).map(({ ms }) => ms);
  const over = all.filter(({ ms }) => ms > PROMISES.apartMs);
  add(
    'monitors apart, both in touch',
    `at most ${Math.max(...touch).toFixed(0)} ms, 99th ${percentile(touch, 0.99).toFixed(0)}, middle ${median(touch).toFixed(0)} (${touch.length} looks)`,
    touch.length > 20 && Math.max(...touch) < PROMISES.apartMs,
  );
  if (alone.length > 0)
    add(
      'monitors apart, one alone',
      `at most ${Math.max(...alone).toFixed(0)} ms, middle ${median(alone).toFixed(0)} (${alone.length} looks)`,
      Math.max(...alone) < PROMISES.apartMs,
    );
  const minuteOf = (wall: number): string => ((wall - seen.startedMs) / 60_000).toFixed(1);
  const worst = over.reduce<(typeof over)[number] | null>((most, one) => (one.ms > (most?.ms ?? 0) ? one : most), null);
  add(
    `looks more than ${PROMISES.apartMs} ms apart`,
    worst === null
      ? `0 of ${all.length}`
      : `${over.length} of ${all.length} (${over.filter(({ inTouch }) => inTouch).length} of them both in touch); the worst at ${minuteOf(worst.wall)} min, ${worst.inTouch ? 'both in touch' : 'one alone'}`,
  );
  const backMs = seen.backs.map(({ ms }) => ms);
  add(
    'back after a broken network',
    `middle ${median(backMs).toFixed(0)} ms, most ${Math.max(0, ...backMs).toFixed(0)} (${backMs.length} of ${seen.drops})`,
    backMs.length > 0 && Math.max(...backMs) < 2_000,
  );
  const slowest = [...seen.backs].sort((a, b) => b.ms - a.ms)[0];
  if (slowest) add('the slowest of them', whyOf(slowest));
  add('server killed: to live numbers again', `${seen.restartS.toFixed(1)} s`, Number.isFinite(seen.restartS));

  const { events } = seen.run;
  const gaps = events.filter((event, at) => event.seq !== at + 1).length;
  add('log: lines without a gap', `${events.length}, ${gaps} out of place`, gaps === 0 && events.length > 0);
  let lost = 0;
  let doubled = 0;
  let sent = 0;
  for (const screen of seen.all)
    for (const { clientId, n } of screen.sent.values()) {
      sent += 1;
      const kept = events.filter((event) => event.clientId === clientId && event.clientNumber === n).length;
      if (kept === 0) lost += 1;
      if (kept > 1) doubled += 1;
    }
  const refused = seen.all.reduce((sum, screen) => sum + screen.refused.length, 0);
  add(
    'taps sent, lost, doubled, refused',
    `${sent}, ${lost - refused}, ${doubled}, ${refused}`,
    lost <= refused && doubled === 0 && sent > 0,
  );
  add('taps that found no button in time', `${seen.missed} of ${seen.taps + seen.missed}`);
  const complaints = seen.all.flatMap(({ device }) => device.complaints);
  add(
    'errors the pages reported',
    complaints.length === 0 ? 'none' : complaints.slice(0, 3).join('; '),
    complaints.length === 0,
  );
  return findings;
}
