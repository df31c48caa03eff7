/**
 * The crew on their own phones, beside a lead's console, on a real server: an observer ticks and comments, an embedded
 * participant sees a line and says it, a logger logs and does not steer; all of it in one log, through a broken line too.
 */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunDefinition, RunEvent } from '@breathline/engine';
import type { CrewFrame } from '@breathline/protocol';
import type { TestServer } from '../faults/server.ts';
import { expectClean, expectThumbs, PHONE, TABLET } from './clean.ts';
import { peopledScenarios } from './peopled.ts';
import { Device, button, firstPassphrase, launch, realServer, signIn, startRunOf, tapped, until } from './drive.ts';

const TITLE = 'Cashew anaphylaxis after the cookery club';
let server: TestServer;
let browser: Browser;
let lead: Device;
let observer: Device;
let participant: Device;
let scenario: RunDefinition['scenario'];
let crewCode = '';

const crew = (device: Device): CrewFrame => {
  const text = device.texts.findLast((each) => each.startsWith('{"t":"crew"'));
  if (text === undefined) throw new Error('No crew frame yet.');
  return JSON.parse(text) as CrewFrame;
};
/** The lead's log so far. */
const log = (): RunEvent[] => {
  const lines = new Map<number, RunEvent>();
  for (const frame of lead.facultyFrames) for (const { event } of frame.log) lines.set(event.seq, event);
  return [...lines.values()];
};
const of = <K extends RunEvent['kind']>(kind: K) =>
  log().filter((event): event is Extract<RunEvent, { kind: K }> => event.kind === kind);

/** A phone types the crew's code and chooses its part, as a person does. */
const joinCrew = async (part: string): Promise<Device> => {
  const phone = await Device.open(browser, PHONE);
  await phone.page.emulateMedia({ reducedMotion: 'reduce' });
  await phone.page.goto(`${server.origin}/join`);
  await phone.page.getByLabel('Type the code').fill(crewCode.toLowerCase());
  await phone.page.getByRole('button', { name: new RegExp(`^${part}`) }).click();
  await phone.page.waitForURL('**/crew**');
  return phone;
};
const said = (device: Device, words: string | RegExp): Promise<void> =>
  device.page.getByRole('status', { name: 'Last logged' }).getByText(words).first().waitFor();
const drawer = (id: string): Promise<void> =>
  lead.page
    .getByRole('tablist', { name: 'Drawers' })
    .getByRole('tab', { name: new RegExp(`^${id}`) })
    .click();

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
  await until('the crew code is known', () => lead.facultyFrames.some((frame) => frame.crewCode !== undefined));
  crewCode = lead.faculty.crewCode ?? '';
  const answer = await lead.page.request.get(`${server.origin}/api/runs/${runId}`);
  scenario = ((await answer.json()) as { definition: RunDefinition }).definition.scenario;
}, 240_000);

afterAll(async () => {
  await browser?.close();
  await server?.dispose();
});

describe('a crew on their phones', { timeout: 180_000 }, () => {
  it('the two codes are told apart, and a wrong one says what to do', async () => {
    expect(crewCode).toHaveLength(8);
    expect(lead.faculty.joinCode).toHaveLength(6);
    const phone = await Device.open(browser, PHONE);
    await phone.page.goto(`${server.origin}/join`);
    await phone.page.getByLabel('Type the code').fill('ZZZZ9999');
    await phone.page.getByRole('group', { name: 'Join the crew as' }).waitFor();
    await expectClean(phone, 'join-crew', PHONE);
    await phone.page.getByRole('button', { name: /^Observer/ }).click();
    await phone.page.getByText('No run has that join code').waitFor();
    await phone.context.close();
  });

  it('an observer and an embedded participant wait for the start, then follow the clock', async () => {
    observer = await joinCrew('Observer');
    participant = await joinCrew('Embedded participant');
    await observer.page.getByText('Waiting for the start').waitFor();
    await button(lead, 'Start the run').click();
    await observer.page.getByText('Waiting for the start').waitFor({ state: 'detached' });
    await participant.page.getByText(/Stay in the part/).waitFor();
    await until('the lead sees two of the crew', () => lead.faculty.screens.crew === 2);
  });

  it('an observer’s tick and comment are in the lead’s log, the comment with the time it was begun', async () => {
    const behaviour = scenario.behaviours?.[0];
    if (!behaviour) throw new Error('The scenario has nothing to tick.');
    const group = observer.page.getByRole('group', { name: behaviour.says });
    await group.getByRole('button', { name: 'Partly' }).click();
    await said(observer, behaviour.says);
    await until('it stands as the server has it', () => crew(observer).behaviours[0]?.seen === 'partly');
    expect(await group.getByRole('button', { name: 'Partly' }).getAttribute('aria-pressed')).toBe('true');

    const box = observer.page.getByLabel('What struck you');
    const before = crew(observer).clockMs;
    await box.pressSequentially('Two people ');
    const begun = crew(observer).clockMs;
    await observer.page.waitForTimeout(2_500);
    await box.pressSequentially('draw up at once');
    await observer.page.getByRole('button', { name: 'Would change' }).click();
    await said(observer, 'Comment: would change');
    await observer.page.getByRole('button', { name: 'Mark this moment' }).click();
    await drawer('Log');
    await lead.page.getByText(behaviour.says).first().waitFor();
    await lead.page.getByText('Two people draw up at once').first().waitFor();
    const [comment] = of('comment');
    expect(comment).toMatchObject({ about: 'change', by: { role: 'observer' } });
    expect(comment?.occurredAtMs).toBeGreaterThan(before - 1_500);
    expect(comment?.occurredAtMs).toBeLessThan(begun + 1_500);
    expect((comment?.appliedAtMs ?? 0) - (comment?.occurredAtMs ?? 0)).toBeGreaterThan(1_500);
    expect(of('behaviour-ticked')[0]).toMatchObject({ behaviour: behaviour.id, seen: 'partly' });
    expect(of('mark')[0]?.by.role).toBe('observer');
  });

  it('a slip is taken back by the phone that made it', async () => {
    await observer.page.getByRole('button', { name: 'Undo' }).click();
    await until('the mark is withdrawn', () => of('event-withdrawn').length === 1);
  });

  it('a participant sees the line when it is due, says it, and the lead has it as spoken', async () => {
    const line = participant.page.getByRole('region', { name: 'Say now' });
    const words = line.locator('.words', { hasText: 'My throat feels tight.' });
    await words.waitFor({ timeout: 60_000 });
    const size = await words.evaluate((each) => Number.parseFloat(getComputedStyle(each).fontSize));
    // Twice the size of the page's own text: read at arm's length.
    expect(size).toBeGreaterThanOrEqual(25);
    await expectClean(participant, 'crew-participant', PHONE);
    await expectClean(participant, 'crew-participant', TABLET);
    await expectThumbs(participant, 'participant');
    await participant.page.setViewportSize({ width: PHONE[0], height: PHONE[1] });
    await participant.page.getByRole('button', { name: 'Said it My throat feels tight.' }).click();
    await words.waitFor({ state: 'detached' });
    await until('the lead’s list of cues due has it spoken', () =>
      lead.faculty.view.cuesDue.some((each) => each.cue.id === 'throat' && each.spokenAtMs !== null),
    );
    expect(of('cue-spoken')[0]?.by.role).toBe('participant');
  });

  it('a happening of the lead’s is on the participant’s phone at once', async () => {
    await drawer('Room');
    await lead.page.getByLabel('With a word (optional)').first().fill('the school office');
    await tapped(lead, lead.page.getByRole('button', { name: 'Phone rings', exact: true }), 'The phone rings');
    await participant.page.getByRole('list', { name: 'Just now' }).getByText('the school office').waitFor();
  });

  it('the family is played from the phone: told only if asked, worry, distress', async () => {
    const member = scenario.family.find((each) => (each.history ?? []).length > 0);
    const history = member?.history?.[0];
    if (!history) throw new Error('The scenario’s family has no history to tell.');
    await participant.page.getByRole('button', { name: `They asked, I told ${history.says}` }).click();
    await until('the lead has it as told', () =>
      (lead.faculty.view.live?.family.told ?? []).some((each) => each.item === history.id),
    );
    await participant.page.getByRole('button', { name: 'In the way', exact: true }).click();
    await until('the lead sees the distress', () => lead.faculty.view.live?.family.distress === 3);
  });

  it('what the family asks for waits on the lead’s console until it is met', async () => {
    await participant.page.getByLabel('What you ask or ask for').fill('Can I hold his hand?');
    await participant.page.getByRole('button', { name: /^I asked for this/ }).click();
    await lead.page.getByRole('button', { name: /Asked: Can I hold his hand/ }).click();
    await lead.page.getByRole('button', { name: 'Given Can I hold his hand?' }).click();
    await until('it is met', () => lead.faculty.view.live?.requests[0]?.answer === 'given');
    expect(lead.faculty.view.live?.requests[0]?.from).toBe('family');
  });

  it('taps made with the line down wait, survive a reload, and arrive once with their own time', async () => {
    const behaviour = scenario.behaviours?.[1];
    if (!behaviour) throw new Error('The scenario has too little to tick.');
    const before = of('behaviour-ticked').length;
    await observer.context.setOffline(true);
    await observer.page.getByText('Not connected').waitFor();
    const at = lead.faculty.view.clockMs;
    await observer.page
      .getByRole('group', { name: behaviour.says })
      .getByRole('button', { name: 'Seen', exact: true })
      .click();
    await observer.page.getByText('1 tap is kept here').waitFor();
    await observer.page.waitForTimeout(3_000);
    expect(of('behaviour-ticked')).toHaveLength(before);
    // The page goes away with the tap still waiting; the phone comes back on another page, online.
    await observer.page.goto('about:blank');
    await observer.context.setOffline(false);
    await observer.page.goto(`${server.origin}/crew`);
    await until('the tap is in the log', () => of('behaviour-ticked').length === before + 1);
    const tick = of('behaviour-ticked').at(-1);
    expect(tick?.behaviour).toBe(behaviour.id);
    expect(Math.abs((tick?.occurredAtMs ?? 0) - at)).toBeLessThan(1_500);
    expect((tick?.appliedAtMs ?? 0) - (tick?.occurredAtMs ?? 0)).toBeGreaterThan(2_500);
    await until('the phone is back on its own seat', () => crew(observer).behaviours[1]?.seen === 'seen');
    expect(crew(observer).behaviours[0]?.seen).toBe('partly');
  });

  it('a system problem goes with a photograph, made small on the phone', async () => {
    await observer.page.getByLabel('With a word (optional)').fill('Drawer labels face down');
    const drawn = await observer.page.evaluate(async () => {
      const canvas = document.createElement('canvas');
      canvas.width = 3000;
      canvas.height = 2000;
      const context = canvas.getContext('2d')!;
      context.fillStyle = '#888';
      context.fillRect(0, 0, 3000, 2000);
      return canvas.toDataURL('image/png').split(',')[1] ?? '';
    });
    await observer.page
      .locator('input[type=file]')
      .setInputFiles({ name: 'drawer.png', mimeType: 'image/png', buffer: Buffer.from(drawn, 'base64') });
    await observer.page.getByText('Photograph kept').waitFor();
    await expectClean(observer, 'crew-observer', PHONE);
    await expectClean(observer, 'crew-observer', TABLET);
    await expectThumbs(observer, 'observer');
    await observer.page.setViewportSize({ width: PHONE[0], height: PHONE[1] });
    await observer.page.getByRole('button', { name: /^Layout/ }).click();
    await until('the lead has it', () => of('system-problem').length === 1);
    expect(of('system-problem')[0]).toMatchObject({ category: 'layout', text: 'Drawer labels face down' });
    expect(of('system-problem')[0]?.photo).toBeTruthy();
    await drawer('Log');
    const picture = lead.page.getByRole('img', { name: 'Photograph. System problem: layout' });
    await picture.waitFor();
    await until('the lead sees it', () =>
      picture.evaluate((each) => each instanceof HTMLImageElement && each.naturalWidth > 0),
    );
  });

  it('a logger has the console without the steering, and what they log is in the same log', async () => {
    const logger = await Device.open(browser, TABLET);
    await logger.page.emulateMedia({ reducedMotion: 'reduce' });
    await logger.page.goto(`${server.origin}/join?code=${crewCode}`);
    await logger.page.getByRole('button', { name: /^Logger/ }).click();
    await logger.page.waitForURL('**/crew/console');
    const drawers = logger.page.getByRole('tablist', { name: 'Drawers' });
    await drawers.waitFor();
    expect(await drawers.getByRole('tab', { name: /^Steer/ }).count()).toBe(0);
    expect(await drawers.getByRole('tab', { name: /^Screens/ }).count()).toBe(0);
    await logger.page.getByText('Logger', { exact: true }).waitFor();
    expect(await logger.page.getByRole('button', { name: 'Pause', exact: true }).count()).toBe(0);
    // Nothing is offered that a logger may not ask or open.
    expect(await logger.page.getByRole('button', { name: /Why is/ }).count()).toBe(0);
    await button(logger, 'More').first().click();
    await button(logger, /^Solo layout/).waitFor();
    expect(await logger.page.locator('a[href^="/prebrief"], a[href="/runs"], a[href^="/debrief"]').count()).toBe(0);
    await button(logger, 'More').first().click();
    // Said while the clock stands for another reason: why it stands now is on every screen.
    await button(lead, 'Pause').click();
    await observer.page.getByText('Paused', { exact: true }).waitFor();
    await button(observer, 'Someone is not all right').click();
    for (const { page } of [lead, logger])
      await page.getByRole('banner').getByText('Paused: someone is not all right', { exact: true }).waitFor();
    for (const { page } of [observer, participant])
      await page.getByText('The drill is paused. Look after them first.').waitFor();
    await lead.page.getByText('Not all right', { exact: true }).waitFor();
    await button(lead, 'Carry on').first().click();
    await lead.page.getByText('Running', { exact: true }).waitFor();
    // What one console says aloud is said on the other, and after a reload.
    for (const { page } of [lead, logger]) await page.getByRole('tab', { name: /^Say/ }).click();
    const unsaid = logger.page.getByText('not said yet');
    await unsaid.first().waitFor();
    await button(lead, /^I have said it/).click();
    await until('it is said on the logger’s console too', async () => (await unsaid.count()) === 0);
    await logger.page.reload();
    await logger.page
      .getByText(/^(said|changed since) \d/)
      .first()
      .waitFor();
    expect(await unsaid.count()).toBe(0);
    await tapped(logger, button(logger, 'Call for help').first(), 'Call for help');
    await until('the lead has it', () => of('intervention').some((event) => event.by.role === 'logger'));
    await expectClean(logger, 'crew-logger', TABLET);
    await button(logger, 'System problem').first().click();
    await logger.page
      .locator('input[type=file]')
      .setInputFiles({ name: 'kit.png', mimeType: 'image/png', buffer: await logger.page.screenshot() });
    await logger.page.getByText('Photograph kept').waitFor();
    await logger.page
      .getByRole('group', { name: 'Kind of system problem' })
      .getByRole('button', { name: /^Kit/ })
      .click();
    await until('the lead has the logger’s photograph', () =>
      of('system-problem').some((event) => event.by.role === 'logger' && event.photo !== undefined),
    );
    expect(logger.complaints).toEqual([]);
    await logger.context.close();
  });

  it('anyone may halt the drill for a real person: two taps, and every screen is blank', async () => {
    const stop = observer.page.getByRole('button', { name: /Stop: real emergency/ });
    await stop.click();
    await observer.page.getByRole('button', { name: /Tap again/ }).click();
    await observer.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor();
    await participant.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor();
    await lead.page.getByRole('heading', { name: 'STOPPED: REAL EMERGENCY' }).waitFor();
    expect(crew(participant).lines).toEqual([]);
    expect(crew(participant).prompts).toEqual([]);
    await expectClean(participant, 'crew-stopped', PHONE);
  });

  it('after the end an observer may still say what they saw; everybody else is left in peace', async () => {
    await button(lead, 'Over: back to the drill, paused').click();
    await button(lead, 'More').click();
    await button(lead, 'End the run').click();
    await button(lead, 'Tap again to end the run').click();
    await observer.page.getByText('The run has ended').waitFor();
    await observer.page.getByLabel('What struck you').fill('Nobody said the time of the second dose');
    await observer.page.getByRole('button', { name: 'Question' }).click();
    await until('the lead has it', () => of('comment').some(({ about }) => about === 'question'));
    expect(await observer.page.getByRole('button', { name: 'Mark this moment' }).count()).toBe(0);
    await participant.page.getByText('The run has ended').waitFor();
    expect(await participant.page.getByRole('main').getByRole('button').count()).toBeLessThanOrEqual(2);
    await lead.page.getByRole('heading', { name: /^The run has ended at/ }).waitFor();
    expect(await lead.page.getByRole('region', { name: 'Cues due now' }).count()).toBe(0);
    expect(await button(lead, 'Mark').count()).toBe(0);
    await expectClean(observer, 'crew-ended', PHONE);
    await expectClean(lead, 'console-ended', TABLET);
    expect(observer.complaints).toEqual([]);
    expect(participant.complaints).toEqual([]);
    expect(lead.complaints).toEqual([]);
  });
});
