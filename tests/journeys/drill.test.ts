/**
 * The whole drill as two people at two devices live it: sign in, prebrief, join by code, start, attach, treat, undo,
 * pause, stop, end, reconcile, read the scorecard, take it away, score it again without a screen. The run clock has no
 * fast lane, so the run itself is kept to about a minute and a half.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Download } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Scorecard } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';
import {
  Device,
  Place,
  ROOT,
  button,
  firstPassphrase,
  joinByCode,
  joinCodeOf,
  monitorNumber,
  signInByHand,
  startRunOf,
  tapped,
  until,
  wordsOf,
} from './drive.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'breathline-drill-'));
let place: Place;
let faculty: Device;
let monitor: Device;
let runId = '';

beforeAll(async () => {
  place = await Place.open();
  faculty = await place.device([1366, 768]);
  monitor = await place.device([1024, 768]);
}, 240_000);

afterAll(async () => {
  await place?.close();
  rmSync(folder, { recursive: true, force: true });
});

let paces = 0;
/** The run goes this many times as fast as the wall's clock: what only waits need not wait as long. */
const pace = async (factor: 1 | 4): Promise<void> => {
  paces += 1;
  const { origin } = place.server;
  const answer = await faculty.context.request.post(`${origin}/api/runs/${runId}/commands`, {
    headers: { origin },
    data: { t: 'command', clientId: 'drill-pace', n: paces, command: { kind: 'speed-changed', factor } },
  });
  expect(answer.ok(), await answer.text()).toBe(true);
};

/** The text of the tab on the console's right. */
const openTab = (name: string) => faculty.page.getByRole('tab', { name, exact: true }).click();

/** Every number of the patient's own in any frame faculty got, written out in full: none may reach a monitor. */
const trueNumbers = (): Set<string> =>
  new Set(
    faculty.facultyFrames.flatMap(({ view }) =>
      Object.values(view.trueVitals)
        .filter((value): value is number => typeof value === 'number' && !Number.isInteger(value * 100))
        .map(String),
    ),
  );

const saved = async (download: Download, name: string): Promise<string> => {
  const file = path.join(folder, name);
  await download.saveAs(file);
  return file;
};

describe('a drill from sign-in to scorecard', { timeout: 180_000 }, () => {
  it('signs in with the passphrase of the first start, and reads the prebrief of a new run', async () => {
    await signInByHand(faculty, place.server, firstPassphrase(place.server));
    runId = await startRunOf(faculty, 'Cashew anaphylaxis after the cookery club');
    await faculty.page.getByText('Read this out').waitFor();
    for (const part of ['What is real', 'What is not', 'Roles']) {
      expect(await faculty.page.getByRole('heading', { name: part, exact: true }).isVisible()).toBe(true);
    }
    expect(await wordsOf(faculty.page.locator('body'))).toContain('SIMULATION – NOT FOR CLINICAL USE');
    await faculty.shot('drill-prebrief');
  });

  it('joins a second device by the code, which is shown nothing before anything is attached', async () => {
    await joinByCode(monitor, place.server, await joinCodeOf(faculty));
    await faculty.page.getByRole('link', { name: 'Go to console' }).first().click();
    await faculty.page.waitForURL(`**/console/${runId}`);
    await faculty.page.getByText('1 screen has joined').waitFor();
    await button(faculty, 'Start the run').click();
    await until(
      'both screens run',
      () => faculty.faculty.view.phase === 'running' && monitor.monitor.phase === 'running',
    );
    await until('a true heart rate is there to leak', () => faculty.faculty.view.clockMs > 2_000);
    await monitor.page.getByText('Nothing is attached to the patient.').waitFor();
    expect(await monitor.page.locator('.digits').count()).toBe(0);
    expect(await monitor.page.locator('canvas').count()).toBe(0);
    expect(await wordsOf(monitor.page.locator('body'))).toContain('SIMULATION – NOT FOR CLINICAL USE');
    for (const { shown, wave } of monitor.monitorFrames) {
      expect(shown).toMatchObject({ spo2Percent: null, heartRatePerMin: null, bloodPressure: null, attached: [] });
      expect(wave).toMatchObject({ ecgRatePerMin: null, rhythm: null, beatCount: null, breathCount: null });
    }
    // The passphrase is on the other device: this one may ask for nothing else.
    for (const address of ['/api/runs', `/api/runs/${runId}`, `/api/runs/${runId}/export`, '/api/scenarios']) {
      expect((await monitor.context.request.get(place.server.origin + address)).status(), address).toBe(401);
    }
  });

  it('shows each reading when its device is on, and a blood pressure only after a cuff cycle', async () => {
    await tapped(faculty, button(faculty, /^SpO2\s*put on$/), 'Oximeter probe on');
    await until('the monitor shows a saturation', async () => (await monitorNumber(monitor, 'oxygen')) !== null);
    expect(await monitorNumber(monitor, 'heart')).toBeNull();
    // The pulse stands in the heart rate's place now; the leads can still be put on beside it.
    await tapped(faculty, button(faculty, /^ECG\s*put on$/), 'ECG leads on');
    await until('the monitor shows a heart rate', async () => (await monitorNumber(monitor, 'heart')) !== null);
    await tapped(faculty, button(faculty, /^Cuff\s*put on$/), 'Blood pressure cuff on');
    await monitor.page.locator('[data-tile="pressure"]').getByText('No reading yet').waitFor();
    await tapped(faculty, button(faculty, /^(Cycle the cuff now|cycle)$/), 'Cuff cycled');
    await monitor.page.locator('[data-tile="pressure"]').getByText('Cuff inflating').waitFor();
    expect(await monitorNumber(monitor, 'pressure')).toBeNull();
    // No probe, lead or line that is off says anything.
    expect(await monitorNumber(monitor, 'co2')).toBeNull();
    expect(await monitorNumber(monitor, 'temperature')).toBeNull();
    await monitor.shot('drill-inflating');
  });

  it('keeps a note and a mark, which gets its name later', async () => {
    await button(faculty, 'Note').click();
    await until('the note box has the focus', () =>
      faculty.page.getByLabel('Write a note').evaluate((box) => box === document.activeElement),
    );
    await faculty.page.keyboard.type('Good closed loop');
    await faculty.page.keyboard.press('Enter');
    const log = faculty.page.getByRole('list', { name: 'Log, newest first' });
    await log.getByText('Good closed loop').waitFor();
    await tapped(faculty, button(faculty, 'Mark'), 'Mark');
    await button(faculty, 'Name it').click();
    await until('the name box has the focus', () =>
      faculty.page.getByLabel('Name of the mark').evaluate((box) => box === document.activeElement),
    );
    await faculty.page.keyboard.type('Read the label aloud');
    await faculty.page.keyboard.press('Enter');
    await log.getByText('Read the label aloud').waitFor();
    await faculty.shot('drill-log');
  });

  it('stands still while paused, on both screens, and carries on', async () => {
    await button(faculty, 'Pause').click();
    await monitor.page.locator('.monitor[data-notice="Paused"]').waitFor();
    await until('the console is paused', () => faculty.faculty.view.phase === 'paused');
    const { clockMs } = faculty.faculty.view;
    const heard = monitor.texts.length;
    await until('two more frames have come to the monitor', () => monitor.texts.length >= heard + 2);
    expect(monitor.monitor.clockMs).toBe(clockMs);
    expect(faculty.faculty.view.clockMs).toBe(clockMs);
    await button(faculty, 'Carry on').click();
    await until('the clock goes on', () => monitor.monitor.clockMs > clockMs);
    await monitor.page.locator('.monitor[data-notice=""]').waitFor();
  });

  it('blanks both screens at once for a real emergency, and comes back from a mis-tap', async () => {
    const tappedAt = performance.now();
    await button(faculty, 'Stop: real emergency').click();
    await Promise.all([
      monitor.page.locator('.cover.emergency').waitFor(),
      faculty.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor(),
    ]);
    const tookMs = performance.now() - tappedAt;
    expect(tookMs, 'ms from the tap until both screens are blank').toBeLessThan(2_000);
    await monitor.shot('drill-stopped');
    expect(await monitor.page.locator('.digits, canvas').count()).toBe(0);
    expect(await faculty.page.getByRole('region', { name: 'Adrenaline, intramuscular' }).count()).toBe(0);
    expect(await wordsOf(monitor.page.locator('body'))).not.toMatch(/\d/);
    await button(faculty, /mis-tap/).click();
    await until(
      'both run again',
      () => monitor.monitor.phase === 'running' && faculty.faculty.view.phase === 'running',
    );
    await until('the heart rate is back', async () => (await monitorNumber(monitor, 'heart')) !== null);
  });

  it('shows the blood pressure of the cycle once it is over, and numbers that move', async () => {
    await pace(4);
    await until('a blood pressure shows', async () => (await monitorNumber(monitor, 'pressure')) !== null, 90_000);
    const { bloodPressure } = monitor.monitor.shown;
    expect(bloodPressure?.systolicMmHg).toBeGreaterThan(40);
    expect(await monitor.page.locator('[data-tile="pressure"] .digits').innerText()).toBe(
      `${Math.round(bloodPressure?.systolicMmHg ?? 0)}/${Math.round(bloodPressure?.diastolicMmHg ?? 0)}`,
    );
    const pressedMs = faculty.facultyFrames.flatMap(({ log }) => log).find(({ event }) => event.kind === 'cuff-pressed')
      ?.event.appliedAtMs;
    // A cycle of a cuff takes its time (common practice, no source: half a minute or so).
    expect((bloodPressure?.takenAtMs ?? 0) - (pressedMs ?? Infinity)).toBeGreaterThan(10_000);

    const seen = { heart: new Set<number>(), oxygen: new Set<number>() };
    await until(
      'heart rate and saturation have both changed on the monitor',
      async () => {
        for (const place of ['heart', 'oxygen'] as const) {
          const value = await monitorNumber(monitor, place);
          if (value !== null) seen[place].add(value);
        }
        const sent = new Set(monitor.monitorFrames.map(({ shown }) => shown.spo2Percent));
        return seen.heart.size >= 2 && (seen.oxygen.size >= 2 || sent.size >= 3);
      },
      60_000,
    );
    await monitor.shot('drill-monitor');
    await faculty.shot('drill-console');
  });

  it('takes adrenaline said, drawn up and given, with the dose of the pack, and says when a repeat may be due', async () => {
    // Treated before the signs are there to see, nothing would fall due: the team waits until they are.
    await until('the signs can be seen', async () => (await scorecard()).clocks.couldHaveSeenMs !== null, 90_000);
    await pace(1);
    const hero = faculty.page.getByRole('region', { name: 'Adrenaline, intramuscular' });
    // Resuscitation Council UK 2021, 6 to 12 years: 300 micrograms IM (0.3 mL of 1 mg/mL).
    expect(await wordsOf(hero)).toContain('300 micrograms = 0.3 mL of 1 mg/mL');
    expect(await wordsOf(hero)).toContain('unverified');
    await tapped(faculty, button(faculty, 'Call for help'), 'Call for help');
    await tapped(faculty, hero.getByRole('button', { name: /^Said/ }), 'Adrenaline IM: said');
    await tapped(faculty, hero.getByRole('button', { name: /^Drawn up/ }), 'Adrenaline IM: drawn up');
    await tapped(faculty, hero.getByRole('button', { name: /^Given dose seen/ }), 'Adrenaline IM: given');
    expect(await wordsOf(hero)).toMatch(/repeat from \d+:\d\d, due \d+:\d\d/);
    // Why then, and where it was published, is one tap away.
    await hero.getByRole('button', { name: /since last/ }).click();
    await hero.getByText('Dose 1: 300 micrograms').waitFor();
    const why = await wordsOf(hero);
    expect(why).toMatch(/persist at 5 min.*early before 4:00, on time up to 6:00, late from 10:00/);
    expect(why).toContain('Resuscitation Council UK');
    await hero.getByRole('button', { name: /since last/ }).click();
    expect(await wordsOf(hero)).toContain('dose 2');
    expect(await faculty.page.getByText('Training only').first().isVisible()).toBe(true);
  });

  it('takes oxygen and a reassessment, and takes a wrong tap back', async () => {
    await tapped(faculty, button(faculty, 'Oxygen 15 L/min'), 'Oxygen 15 L/min');
    await tapped(
      faculty,
      faculty.page.getByRole('tabpanel').getByRole('group', { name: 'Looked again, A to E' }).getByRole('button'),
      'Reassessed',
    );
    await until('the reassessment has shown something', () => faculty.faculty.view.revealed.length > 0);
    await tapped(faculty, button(faculty, 'Sit up'), 'Sit up');
    await faculty.page.getByRole('status', { name: 'Last logged' }).getByRole('button', { name: 'Undo' }).click();
    await faculty.page.getByRole('status', { name: 'Last logged' }).getByText('taken back').waitFor();
    await until('the undo is on the log', () =>
      faculty.facultyFrames.some(({ log }) =>
        log.some(({ event, withdrawnBy }) => 'intervention' in event && event.intervention === 'sit-up' && withdrawnBy),
      ),
    );
    await openTab('Log');
    const log = faculty.page.getByRole('list', { name: 'Log, newest first' });
    await log.getByText('Oxygen 15 L/min').waitFor();
    expect(await log.getByText('Sit up').count()).toBe(0);
    await button(faculty, /Show 1 taken back/).click();
    await log.getByText('Sit up').waitFor();
  });

  it('ends, and tells both screens', async () => {
    // Lying flat and removing the trigger fall due a minute after the signs could be seen; nobody logs them here.
    const endMs = ((await scorecard()).clocks.couldHaveSeenMs ?? NaN) + 62_000;
    await pace(4);
    await until('the first targets have fallen due', () => faculty.faculty.view.clockMs >= endMs, 90_000);
    await button(faculty, 'More').click();
    await button(faculty, 'End the run').click();
    await button(faculty, 'Tap again to end the run').click();
    await monitor.page.getByText('The run has ended').waitFor();
    await faculty.page.getByText('The run has ended').waitFor();
    expect(await monitor.page.locator('.digits').count()).toBe(0);
  });

  it('never sent the monitor a true value, a state, a cue, a title, a name or the run’s own id', async () => {
    const hidden = trueNumbers();
    expect(hidden.size).toBeGreaterThan(200);
    const run = JSON.parse(
      await (await faculty.context.request.get(`${place.server.origin}/api/runs/${runId}/export`)).text(),
    ) as RunExport;
    const { scenario } = run.definition;
    const states = scenario.threads.flatMap((thread) => Object.values(thread.states));
    const words = [
      scenario.id,
      scenario.title,
      scenario.patient.name,
      runId,
      ...states.map((state) => state.title),
      ...states.flatMap((state) => state.cues.map((cue) => cue.says)),
    ].filter((word) => word.length > 2);
    expect(words.length).toBeGreaterThan(10);
    expect(monitor.texts.length).toBeGreaterThan(100);
    const all = `${monitor.texts.join('\n')}\n${monitor.sent.join('\n')}`;
    for (const word of words) expect(all.includes(word), word).toBe(false);
    for (const text of monitor.texts) {
      for (const [number] of text.matchAll(/-?\d+\.\d{3,}(?:e-?\d+)?/g)) expect(hidden.has(number), text).toBe(false);
    }
    // Before its device was on, no frame of any kind had a reading.
    for (const { shown, wave } of monitor.monitorFrames) {
      if (!shown.attached.includes('ecg')) expect([shown.heartRatePerMin, wave.ecgRatePerMin]).toEqual([null, null]);
      if (!shown.attached.includes('oximeter')) expect([shown.spo2Percent, shown.pulsePerMin]).toEqual([null, null]);
      if (!shown.attached.includes('bp-cuff')) expect(shown.bloodPressure).toBeNull();
      expect([shown.etco2MmHg, shown.temperatureCelsius, shown.glucoseMmolPerL]).toEqual([null, null, null]);
    }
  });

  it('reconciles what was not recorded, opens the analysis, and scores the first adrenaline with its evidence', async () => {
    await faculty.page.getByRole('link', { name: 'Open the debrief' }).click();
    await faculty.page.getByRole('heading', { name: 'How is everyone?' }).waitFor();
    // People before numbers: nothing of the score is here.
    expect(await wordsOf(faculty.page.locator('body'))).not.toMatch(/\bMet\b|\bMissed\b|Not recorded/);
    await button(faculty, 'Go on: what was not recorded').click();
    await faculty.page.getByRole('heading', { name: 'These I did not see' }).waitFor();
    const flat = faculty.page.getByRole('group', { name: /^Laid flat/ });
    await flat.getByRole('button', { name: 'Not done' }).click();
    await until('the answer is kept', async () => (await flat.getByRole('status').innerText()) === 'Saved');
    const trigger = faculty.page.getByRole('group', { name: /^Trigger removed/ });
    await trigger.getByRole('button', { name: 'Not sure' }).click();
    await until('the second answer is kept', async () => (await trigger.getByRole('status').innerText()) === 'Saved');
    expect(await faculty.page.getByText('Kept on this screen only').count()).toBe(0);
    await faculty.shot('drill-reconcile');
    await button(faculty, 'Open the analysis').click();

    await faculty.page.getByRole('tab', { name: 'Timeline' }).waitFor();
    await faculty.page
      .locator('svg title')
      .filter({ hasText: 'Good closed loop' })
      .first()
      .waitFor({ state: 'attached' });
    await faculty.shot('drill-timeline');
    // A tab of another phase begins that phase, and the page goes on.
    await faculty.page.getByRole('tab', { name: 'Summary' }).click();
    await faculty.page.getByLabel('Add to: Take home').waitFor();
    await faculty.page.getByRole('tab', { name: 'Scorecard' }).click();
    const line = faculty.page.getByRole('listitem').filter({ hasText: 'First intramuscular adrenaline' }).first();
    await line.waitFor();
    const card = await scorecard();
    const first = card.results.find(({ target }) => target.id === 'first-adrenaline');
    expect(first).toMatchObject({ result: 'met', dose: { verdict: 'right', givenAmount: 300 } });
    const words = await wordsOf(line);
    expect(words).toContain('Met');
    expect(words).toContain('Dose right');
    expect(words).toContain(clock(first?.actualMs ?? NaN));
    expect(words).toContain(clock(first?.dueMs ?? NaN));
    await line.getByRole('button', { name: /Evidence and source/ }).click();
    await line.getByText('Source.', { exact: true }).waitFor();
    const evidence = await wordsOf(line);
    expect(evidence).toContain(first?.source.organisation);
    expect(evidence).toContain('Not yet checked by a named clinician');
    expect(evidence).toContain('300 micrograms');
    const missed = faculty.page.getByRole('listitem').filter({ hasText: 'Laid flat' }).first();
    expect(await wordsOf(missed)).toMatch(/Missed.*by the team's own account/);
    expect(await wordsOf(faculty.page.locator('body'))).toContain('Training only');
    await faculty.shot('drill-scorecard');
  });

  it('scores the same on the screen, on the server and on the command line', async () => {
    const card = await scorecard();
    await button(faculty, 'Files').click();
    const [download] = await Promise.all([
      faculty.page.waitForEvent('download'),
      faculty.page.getByRole('button', { name: 'Run, JSON' }).click(),
    ]);
    const fromScreen = await saved(download, 'RUN.json');
    expect(JSON.parse(readFileSync(fromScreen, 'utf8'))).toMatchObject({
      caution: expect.stringContaining('NOT FOR CLINICAL USE'),
    });
    const onCommandLine = JSON.parse(
      execFileSync('npm', ['run', '-s', 'breathline', '--', 'debrief', fromScreen, '--json'], {
        cwd: ROOT,
        encoding: 'utf8',
        maxBuffer: 64 * 1024 * 1024,
      }),
    ) as Scorecard;
    expect(onCommandLine).toEqual(card);
    const [second] = await Promise.all([
      faculty.page.waitForEvent('download'),
      button(faculty, 'Scorecard, JSON').click(),
    ]);
    expect(JSON.parse(readFileSync(await saved(second, 'card.json'), 'utf8'))).toEqual(card);
    const page = await wordsOf(faculty.page.locator('body'));
    for (const { target, result } of card.results) {
      if (result !== 'not-due') expect(page, target.id).toContain(target.says);
    }
  });

  it('had no error on either page', () => {
    expect([...faculty.complaints, ...monitor.complaints]).toEqual([]);
  });
});

async function scorecard(): Promise<Scorecard> {
  const answer = await faculty.context.request.get(`${place.server.origin}/api/runs/${runId}/scorecard`);
  expect(answer.status()).toBe(200);
  return (await answer.json()) as Scorecard;
}

const clock = (ms: number): string =>
  `${Math.floor(ms / 60_000)}:${String(Math.floor((ms % 60_000) / 1000)).padStart(2, '0')}`;
