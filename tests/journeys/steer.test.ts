/**
 * The lead steers a live run, as they do: the whole patient worse, held, handed back; someone is rung and comes; a request
 * ages; the arrest question; winding back keeps both takes. A learners' monitor is looked at beside it.
 */
import type { Browser, Locator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunDefinition } from '@breathline/engine';
import type { TestServer } from '../faults/server.ts';
import { peopledScenarios } from './peopled.ts';
import { brokenWords, expectClean, expectThumbs, PHONE, TABLET } from './clean.ts';
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
  tapped,
  until,
  wordsOf,
} from './drive.ts';

const TITLE = 'Cashew anaphylaxis after the cookery club';
let server: TestServer;
let browser: Browser;
let lead: Device;
let monitor: Device;
let scenario: RunDefinition['scenario'];

const live = () => {
  const view = lead.faculty.view;
  if (!view.live) throw new Error('The server sends no live view.');
  return { ...view, live: view.live };
};
const vitals = () => live().trueVitals;
const doses = () => live().doses.filter(({ intervention }) => intervention === 'adrenaline-im');
/** By whichever of the two the console has: it may just be changing from a phone's to a tablet's. */
const drawer = async (id: string): Promise<void> => {
  const place = lead.page.getByRole('navigation', { name: 'Parts of the console' }).getByRole('button', { name: id });
  const tab = lead.page.getByRole('tablist', { name: 'Drawers' }).getByRole('tab', { name: new RegExp(`^${id}`) });
  await place.or(tab).filter({ visible: true }).first().click();
};
const strip = (): Locator => lead.page.getByRole('group', { name: 'Under way' });
const tap = (name: string | RegExp): Locator => lead.page.getByRole('button', { name, exact: true });
/** Lets so much of the run pass. */
const pass = async (ms: number): Promise<void> => {
  const from = live().clockMs;
  await until(`${ms / 1000} s of the run have passed`, () => live().clockMs >= from + ms, 60_000);
};

beforeAll(async () => {
  server = realServer({ BREATHLINE_SCENARIOS: peopledScenarios() });
  await server.start();
  browser = await launch();
  lead = await Device.open(browser, TABLET);
  await lead.page.emulateMedia({ reducedMotion: 'reduce' });
  await signIn(lead, server, firstPassphrase(server));
  const runId = await startRunOf(lead, TITLE);
  await lead.page.goto(`${server.origin}/console/${runId}`);
  await button(lead, 'Start the run').waitFor();
  const answer = await lead.page.request.get(`${server.origin}/api/runs/${runId}`);
  scenario = ((await answer.json()) as { definition: RunDefinition }).definition.scenario;
  monitor = await Device.open(browser, TABLET);
  await joinByCode(monitor, server, await joinCodeOf(lead));
  await button(lead, 'Start the run').click();
  await until('the run goes', () => live().phase === 'running');
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

describe('steering a live run', { timeout: 240_000 }, () => {
  it('no word and no amount of the console is parted over two lines, at any size', async () => {
    for (const [width, height] of [[1366, 768], TABLET, [768, 1024], PHONE, TABLET] as const) {
      await lead.page.setViewportSize({ width, height });
      expect(await brokenWords(lead.page), `${width}×${height}`).toEqual([]);
    }
    // One that is parted is found.
    await lead.page.evaluate(() => {
      document.body.insertAdjacentHTML('beforeend', '<p id="parted" style="width: 4rem">350 micrograms/h</p>');
    });
    expect(await brokenWords(lead.page)).toHaveLength(1);
    await lead.page.evaluate(() => document.getElementById('parted')?.remove());
  });

  it('the whole patient gets worse together, holds, and is handed back in one tap', async () => {
    await drawer('Steer');
    await tapped(lead, tap('2×'), 'Clock at 2×');
    const before = vitals();
    await tapped(lead, tap('Worse fast'), 'Patient worse, fast');
    await lead.page.getByText('worse, fast').first().waitFor();
    expect(await wordsOf(strip())).toContain('Steered');
    await until(
      'pressure, saturation and pulse have all moved for the worse',
      () =>
        vitals().systolicMmHg < before.systolicMmHg - 8 &&
        vitals().spo2Percent < before.spo2Percent - 2 &&
        vitals().heartRatePerMin > before.heartRatePerMin + 10,
      90_000,
    );
    await tapped(lead, tap('Hold as it is'), 'Patient held as it is');
    await pass(6_000);
    const held = vitals();
    await pass(15_000);
    expect(Math.abs(vitals().systolicMmHg - held.systolicMmHg)).toBeLessThan(4);
    expect(Math.abs(vitals().spo2Percent - held.spo2Percent)).toBeLessThan(3);
    await tapped(lead, tap('Hand back to the patient model'), 'Handed back to the patient model');
    await until('the model runs by itself', () => live().live.course === null);
    await lead.page.getByText('The patient model runs by itself.').waitFor();
    expect(await tap('Hand back to the patient model').isDisabled()).toBe(true);
    expect(await wordsOf(strip())).not.toContain('Steered');
  });

  it('what nobody foresaw is written and given an effect, and is in the log in those words', async () => {
    const box = lead.page.getByLabel('What they did');
    await box.fill('Loosened his collar');
    await tapped(lead, tap('Helps'), 'Loosened his collar: it helps');
    await drawer('Log');
    await lead.page.getByText('Loosened his collar').first().waitFor();
  });

  it('a call rings, is answered, and whoever comes is there; it is marked simulated', async () => {
    const contact = scenario.calls?.find((each) => each.arrivesAfterMs !== undefined);
    if (!contact) throw new Error('The scenario has nobody to call who comes.');
    await drawer('Calls');
    const part = lead.page.getByRole('region', { name: 'Calls' });
    expect(await wordsOf(part)).toMatch(/nobody outside this room is rung/);
    expect(await part.getByText('simulated', { exact: true }).count()).toBe(scenario.calls?.length);
    await part.getByRole('button', { name: new RegExp(`^Ring .*${contact.title}`) }).click();
    await part.getByText(/Ringing: answers in/).waitFor();
    expect(await wordsOf(strip())).toContain('Ringing');
    await part.getByRole('button', { name: `Answers now ${contact.title}` }).click();
    await part.getByText(contact.does).waitFor();
    if (contact.asks[0]) await part.getByText(contact.asks[0]).waitFor();
    await part.getByText(/Here in/).waitFor();
    await part.getByRole('button', { name: `Here now ${contact.title}` }).click();
    await part.getByText(/Here since/).waitFor();
  });

  it('kit sent for comes after its delay by itself', async () => {
    await lead.page.getByRole('group', { name: 'Here after' }).getByRole('button', { name: '30 s' }).click();
    await tapped(lead, tap('Defibrillator'), 'Sent for: Defibrillator');
    const list = lead.page.getByRole('list', { name: 'Sent for' });
    await list.getByText(/here in/).waitFor();
    await list.getByText(/came at/).waitFor({ timeout: 60_000 });
  });

  it('a request ages in the strip until it is met in one tap', async () => {
    await drawer('People');
    await tapped(lead, tap('Weight'), 'The team asked: Weight');
    await until('the strip says so', async () => (await wordsOf(strip())).includes('Asked: Weight'));
    await pass(3_000);
    const ages = /Asked: Weight\D*(\d+):(\d\d)/.exec(await wordsOf(strip()));
    expect(Number(ages?.[2])).toBeGreaterThanOrEqual(2);
    await tapped(lead, tap('Given Weight'), 'Weight: given');
    await until('it is gone from the strip', async () => !(await wordsOf(strip())).includes('Asked'));
    expect(live().live.requests[0]).toMatchObject({ what: 'Weight', answer: 'given' });
  });

  it('the family: distress, a piece of history only if asked, a worry voiced and then heeded', async () => {
    const member = scenario.family.find((each) => (each.worries ?? []).length > 0 && (each.history ?? []).length > 0);
    const [worry, history] = [member?.worries?.[0], member?.history?.[0]];
    if (!worry || !history) throw new Error('The scenario’s family has nothing to tell.');
    await tapped(lead, tap('Distressed'), 'Family: Distressed');
    const group = lead.page.getByRole('group', { name: `This worry: ${worry.says}` });
    await group.getByRole('button', { name: 'Voiced' }).click();
    await until('the strip shows a worry unheeded', async () => (await wordsOf(strip())).includes('Worry unheeded'));
    await group.getByRole('button', { name: 'Heeded' }).click();
    await until('it is gone', async () => !(await wordsOf(strip())).includes('Worry unheeded'));
    await lead.page.getByRole('button', { name: `Told ${history.says}` }).click();
    await lead.page.getByText(/told at/).waitFor();
    expect(live().live.family).toMatchObject({ distress: 2, told: [{ item: history.id }] });
  });

  it('a system problem is one tap, a handover is logged with its parts, and a seat is no name', async () => {
    await drawer('Room');
    await tapped(lead, tap(/^Layout/), 'System problem: Layout');
    await drawer('Calls');
    await tapped(lead, tap('Airway joins'), 'Seat 1: Airway');
    await tap('Situation').click();
    await tap('Recommendation').click();
    await tap('in part').click();
    await tap('Ambulance crew').click();
    await tapped(lead, tap('Log the handover'), 'Handover to Ambulance crew');
    await lead.page.getByText(/heard Situation, Recommendation; read back in part/).waitFor();
    await drawer('Log');
    await lead.page.getByText('System problem: layout').first().waitFor();
    expect(live().live.seats).toEqual([expect.objectContaining({ seat: 'Seat 1', teamRole: 'Airway' })]);
  });

  it('two swap seats in two taps, somebody comes late, and what they do next is theirs in one more tap', async () => {
    await drawer('Calls');
    await tapped(lead, tap('Team leader joins'), 'Seat 2: Team leader');
    await tap('Swap Airway').click();
    await tapped(lead, tap('with Team leader Seat 2'), 'Seat 1 and Seat 2 swapped');
    expect(live().live.seats).toEqual([
      expect.objectContaining({ seat: 'Seat 1', teamRole: 'Team leader' }),
      expect.objectContaining({ seat: 'Seat 2', teamRole: 'Airway' }),
    ]);
    await tapped(lead, tap('IV access'), 'IV access');
    const who = lead.page.getByRole('group', { name: 'Who did it (optional)' });
    await who.getByRole('button', { name: 'Airway' }).click();
    const logged = () => lead.facultyFrames.flatMap((frame) => frame.log).map(({ event }) => event);
    const amended = () => logged().find((event) => event.kind === 'act-amended');
    await until('the log says who', () => amended()?.doneBy === 'Airway');
    // The act itself stands as it was, once: nothing was taken back and logged again.
    const made = logged().filter(
      (event) => event.kind === 'intervention' && event.intervention.startsWith('iv-access'),
    );
    expect(new Set(made.map(({ seq }) => seq))).toEqual(new Set([amended()!.targetSeq]));
  });

  it('a vital is ramped, held and handed back; a state is forced by a second tap on the same place', async () => {
    await drawer('Steer');
    await tapped(lead, tap('4×'), 'Clock at 4×');
    await tap('Tools').click();
    const tools = lead.page.getByRole('region', { name: 'Finer tools' });
    await tools.getByRole('button', { name: 'Temperature' }).click();
    await tools.getByRole('slider').fill('40');
    await tools.getByRole('button', { name: 'over 30 s' }).click();
    const before = vitals().temperatureCelsius;
    await tapped(lead, tools.getByRole('button', { name: 'Hold', exact: true }), 'Temperature held at 40');
    await pass(6_000);
    // On its way, not there at once.
    expect(vitals().temperatureCelsius).toBeGreaterThan(before + 0.1);
    expect(vitals().temperatureCelsius).toBeLessThan(39.9);
    await until('it is there', () => Math.abs(vitals().temperatureCelsius - 40) < 0.05, 60_000);
    const patient = lead.page.getByRole('region', { name: 'Patient', exact: true });
    await tapped(lead, patient.getByRole('button', { name: 'Hand back' }), 'Temperature handed back');
    await until('the model has it again', () => live().overridden.length === 0, 60_000);
    expect(vitals().temperatureCelsius).toBeLessThan(38.5);
    const thread = scenario.threads[0]!;
    const state = thread.states.find(({ id }) => id === 'failing') ?? thread.states.at(-1)!;
    const place = tools.getByRole('button', { name: state.title });
    await place.click();
    expect(live().threads[0]?.state).not.toBe(state.id);
    await tapped(lead, place, `Moved to: ${state.title}`);
    await until('the scenario is there', () => live().threads[0]?.state === state.id);
  });

  it('the patient would arrest: nothing happens until the lead answers, and no means held at the brink', async () => {
    await drawer('Steer');
    await tapped(lead, tap('4×'), 'Clock at 4×');
    await tapped(lead, tap('Worse fast'), 'Patient worse, fast');
    const card = lead.page.getByRole('alert', { name: 'Arrest: your decision' });
    await card.waitFor({ timeout: 150_000 });
    expect(live().live.arrest).toBe('asked');
    await expectClean(lead, 'steer-arrest', TABLET);
    await card.getByRole('button', { name: 'Hold at the brink' }).click();
    await card.waitFor({ state: 'detached' });
    await pass(8_000);
    expect(live().live.arrest).toBe('refused');
    expect(lead.facultyFrames.some((frame) => frame.derived.some((each) => each.kind === 'arrest' && each.on))).toBe(
      false,
    );
    await tapped(lead, tap('1×'), 'Clock at 1×');
  });

  it('wind back: every screen goes again from there, both takes are kept, and the clocks forget the other take', async () => {
    await tapped(lead, button(lead, 'Given dose seen').first(), 'Adrenaline IM: given');
    await until('the dose counts', () => doses().length === 1);
    await pass(3_000);
    const lines = live().clockMs;
    await drawer('Steer');
    const moments = lead.page.getByRole('group', { name: 'Moment to go again from' });
    await tapped(lead, moments.getByRole('button', { name: /The start/ }), 'Again from 0:00: take 2');
    await until('take 2 goes', () => live().take === 2 && live().clockMs < 20_000);
    expect(live().live.speed).toBe(1);
    expect(doses()).toEqual([]);
    expect(live().live.course).toBeNull();
    await until('the strip says which take', async () => /Take\s*2/.test(await wordsOf(strip())));
    expect(await wordsOf(strip())).toMatch(/Adrenaline\s*none yet/);
    const takes = lead.page.getByRole('list', { name: 'Takes' });
    expect(await wordsOf(takes)).toMatch(/Take 1 0:00 to \d+:\d\d kept/);
    expect(live().live.takes[0]?.toMs).toBeGreaterThanOrEqual(lines);
    await until('the monitor went back too', () => monitor.monitor.clockMs < 30_000);
    // The dose of take 1 is still in the log: nothing was lost.
    const log = lead.facultyFrames.flatMap((frame) => frame.log);
    expect(
      log.some(({ event, withdrawnBy }) => event.kind === 'intervention' && event.take === 1 && withdrawnBy === null),
    ).toBe(true);
  });

  it('a slip costs nothing: back to the take that was left, as it was, and then to any moment of an older one', async () => {
    const left = live().live.takes[0]?.toMs ?? 0;
    // It stands where a moment stood: sooner than this it would be a bounce.
    await lead.page.waitForTimeout(500);
    await tap(/^Back to take 1/).click();
    await until('take 3 goes on where take 1 was left', () => live().take === 3);
    expect(live().clockMs).toBeGreaterThanOrEqual(Math.floor(left / 100) * 100);
    expect(doses()).toHaveLength(1);
    expect(live().live.takes.at(-1)).toMatchObject({ fromTake: 1 });
    const takes = lead.page.getByRole('list', { name: 'Takes' });
    await takes.getByRole('button', { name: 'Its moments of take 2' }).click();
    const moments = takes.getByRole('group', { name: 'Moment of take 2 to go again from' });
    await moments.getByRole('button', { name: /The start/ }).click();
    await until('take 4 begins at the start of take 2', () => live().take === 4 && live().clockMs < 20_000);
    expect(live().live.takes.at(-1)).toMatchObject({ fromTake: 2, fromMs: 0 });
    expect(doses()).toEqual([]);
  });

  it('a thumb that bounces logs once', async () => {
    const before = live().live.systemProblems.length;
    await drawer('Room');
    await tap(/^Guideline/).dblclick();
    await pass(1_500);
    expect(live().live.systemProblems.length - before).toBe(1);
    // A dose most of all: two would be scored, and would treat the patient twice.
    const given = doses().length;
    await button(lead, 'Given dose seen').first().dblclick();
    await pass(1_500);
    expect(doses().length - given).toBe(1);
    await drawer('Steer');
  });

  it('pause and discuss is its own pause, and carries on', async () => {
    await tapped(lead, tap('Pause and discuss'), 'Paused to discuss');
    await until('it is paused to discuss', () => live().pausedWhy === 'discuss');
    // "Carry on" stands where "Pause and discuss" stood: sooner than this it would be a bounce.
    await lead.page.waitForTimeout(500);
    await tapped(lead, lead.page.getByRole('tabpanel').getByRole('button', { name: 'Carry on' }), 'Carried on');
    await until('it goes on', () => live().phase === 'running');
  });

  it('after the server was away, faculty say once whether the patient lived through the gap', async () => {
    await pass(1_000);
    server.env['PORT'] = new URL(server.origin).port;
    await server.kill();
    await lead.page.getByText('Not connected: this clock runs on here').waitFor();
    await lead.page.waitForTimeout(3_000);
    await server.start();
    const count = lead.page.getByRole('button', { name: 'Count that time first' });
    await count.waitFor();
    await lead.page.getByRole('button', { name: /^Resume from \d+:\d\d$/ }).waitFor();
    const stoodAt = live().clockMs;
    const awayMs = lead.faculty.awayMs ?? 0;
    expect(awayMs).toBeGreaterThan(3_000);
    await expectClean(lead, 'gap-choice', TABLET);
    // Somebody is not all right before it was answered: they come first, and their time is no time away.
    await button(lead, 'Someone is not all right').click();
    await lead.page.getByText('Look after them first: that time never counts.').waitFor();
    const stopsAtMs = lead.faculty.awayMs ?? 0;
    await expectClean(lead, 'gap-choice-person', PHONE);
    await lead.page.waitForTimeout(1_200);
    expect(lead.faculty.awayMs).toBe(stopsAtMs);
    await count.click();
    await until('the run goes on with the gap lived through', () => live().phase === 'running');
    expect(live().clockMs - stoodAt).toBeGreaterThanOrEqual(awayMs - 1_000);
    await count.waitFor({ state: 'detached' });
    const resumed = lead.facultyFrames
      .flatMap((frame) => frame.log)
      .findLast(({ event }) => event.kind === 'run-resumed')?.event;
    expect(resumed?.kind === 'run-resumed' ? (resumed.gapMs ?? 0) : 0).toBeGreaterThan(3_000);
  });

  it('drawers are clean on a tablet and on a phone, and made for thumbs', async () => {
    for (const size of [TABLET, PHONE]) {
      await lead.page.setViewportSize({ width: size[0], height: size[1] });
      for (const id of ['Steer', 'People', 'Calls', 'Room', 'Screens']) {
        await drawer(id);
        await expectClean(lead, `deck-${id.toLowerCase()}`, size);
        await expectThumbs(lead, id);
      }
    }
    expect(lead.complaints).toEqual([]);
    expect(monitor.complaints).toEqual([]);
  });
});
