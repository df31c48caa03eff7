/** The PDFs, read back by an independent reader: whole, one page where one is promised, the caution on every page. */
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';
import { beforeAll, expect, it } from 'vitest';
import { durationText, scoreRun } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';
import { aRun } from '../../../tests/reference/a-run.ts';
import { scorecardPdf } from '../src/paper/scorecard-pdf.ts';
import { summaryPdf } from '../src/paper/summary-pdf.ts';

/** The text of each page, spaces as they fall. */
const pagesOf = async (bytes: Buffer): Promise<string[]> => {
  const pdf = await getDocument({ data: new Uint8Array(bytes), verbosity: 0 }).promise;
  const pages: string[] = [];
  for (let i = 1; i <= pdf.numPages; i++) {
    const { items } = await (await pdf.getPage(i)).getTextContent();
    pages.push(items.map((item) => ('str' in item ? item.str : '')).join(' '));
  }
  return pages;
};
const squeeze = (text: string): string => text.replace(/\s+/g, '');

let run: RunExport;
beforeAll(() => {
  run = aRun();
});

it('the scorecard carries every target with its result, and the caution and number on every page', async () => {
  const card = scoreRun(run);
  const pages = await pagesOf(await scorecardPdf(run));
  const text = squeeze(pages.join(' '));
  for (const { target } of card.results) {
    const says = target.says.replaceAll('₂', '2').replaceAll('≥', 'at least ').replaceAll('≤', 'at most ');
    expect(text).toContain(squeeze(says));
  }
  pages.forEach((page, i) => {
    expect(page).toContain('NOT FOR CLINICAL USE');
    expect(page).toContain(`${i + 1} of ${pages.length}`);
  });
  expect(text).toContain('Unverified:nonamedclinicianhascheckedthisline');
  expect(text).not.toContain('NaN');
  expect(text).not.toContain('undefined');
});

it('the team summary is one page without score or names, and takes what the group wrote down', async () => {
  const words = { takeHome: ['Say the dose aloud'], systemFixes: ['Injectors are not where the label says'] };
  const [page, ...more] = await pagesOf(await summaryPdf(run, undefined, words));
  expect(more).toEqual([]);
  expect(page).toContain('Say the dose aloud');
  expect(page).toContain('Injectors are not where the label says');
  expect(page).toContain('NOT FOR CLINICAL USE');
  expect(page).not.toMatch(/score/i);
  // The telling title of the scenario is faculty's; this page goes to learners.
  expect(page).toContain(run.definition.scenario.learnerTitle);
  expect(page).not.toContain(run.definition.scenario.title);
});

it('a tenfold first dose is to work on by its dose, never as time in hand; the clocks on paper name it', async () => {
  const events = run.events.map((event) =>
    event.kind === 'intervention' && event.intervention === 'adrenaline-im' && event.amount !== null
      ? { ...event, amount: event.amount * 10, volumeMl: null, doseSeen: true }
      : event,
  );
  const tenfold = { ...run, events };
  const first = scoreRun(tenfold).results.find(({ target }) => target.id === 'first-adrenaline')!;
  expect(first.result).toBe('given-wrong-dose');
  const [page] = await pagesOf(await summaryPdf(tenfold));
  expect(squeeze(page!)).toContain(squeeze(`${first.target.says} – Critical dose error`));
  const scorecard = squeeze((await pagesOf(await scorecardPdf(tenfold))).join(''));
  expect(scorecard).toMatch(/Firstadrenaline\d+:\d\d–wrongdose:/);
  // Every dose was tenfold: none of them was adequate.
  expect(scorecard).toContain('Firstadequatedosenotinthelog');
  expect(scorecard).toMatch(/Given,wrongdose(?!\d+(min|s)\S*inhand)/);
});

it('a dose wrong by less than twofold is to work on as well, though it came in time', async () => {
  const events = run.events.map((event) =>
    event.kind === 'intervention' && event.intervention === 'adrenaline-im' && event.amount !== null
      ? { ...event, amount: event.amount * 1.5, volumeMl: null, doseSeen: true }
      : event,
  );
  const half = { ...run, events };
  const first = scoreRun(half).results.find(({ target }) => target.id === 'first-adrenaline')!;
  expect(first).toMatchObject({ result: 'met', dose: { verdict: 'minor-error' } });
  const [page] = await pagesOf(await summaryPdf(half));
  const [good, work] = squeeze(page!).split('Toworkon');
  expect(good).not.toContain(squeeze(first.target.says));
  expect(work).toContain(squeeze(`${first.target.says} – Wrong dose`));
});

it('the team summary names the danger, and praises no step that was only not taken', async () => {
  const arrested = aRun('cashew-cookery-club', 'a tenth of the dose');
  const card = scoreRun(arrested);
  expect(card.danger.arrestMs).toBeGreaterThan(0);
  expect(card.results.some(({ result }) => result === 'order-kept')).toBe(true);
  const [page, ...more] = await pagesOf(await summaryPdf(arrested));
  expect(more).toEqual([]);
  const text = squeeze(page!);
  expect(text).toContain(squeeze(`No output (arrest) – ${durationText(card.danger.arrestMs)}`));
  const good = text.slice(text.indexOf('Ingoodtime'), text.indexOf('Toworkon'));
  for (const { result, actualMs, target } of card.results)
    if (result === 'order-kept' || actualMs === null) expect(good).not.toContain(squeeze(target.says));
});

it('an answer without a time has none on paper', async () => {
  const asked = { at: 0, kind: 'reconciled', target: 'trigger-removed', answer: 'done' } as const;
  const last = run.events.at(-1)!;
  const events = [...run.events, { ...last, ...asked, seq: last.seq + 1 } as unknown as (typeof run.events)[number]];
  const text = squeeze((await pagesOf(await scorecardPdf({ ...run, events }))).join(''));
  expect(text).toContain('Askedafterwards:done');
  expect(text).not.toContain('0:00Askedafterwards');
});

it('no line of a long scorecard is broken over two pages; what is done again is named beside its time', async () => {
  const copd = aRun('blue-at-the-bus-stop');
  const pages = (await pagesOf(await scorecardPdf(copd))).map(squeeze);
  expect(pages.length).toBeGreaterThan(2);
  // Each line says when its clock began and, last, whether a clinician checked it: both on one page.
  const count = (page: string, what: RegExp): number => page.match(what)?.length ?? 0;
  const begun = pages.map((page) => count(page, /Clock(from\d|:)/g));
  expect(pages.map((page) => count(page, /itfailsnoone\./g))).toEqual(begun);
  const { results } = scoreRun(copd);
  expect(begun.reduce((so, n) => so + n, 0)).toBe(results.length);
  const again = results.filter(({ target, actualMs }) => target.clock === 'previous-dose' && actualMs !== null);
  expect(again.length).toBeGreaterThan(0);
  for (const { target } of again) expect(pages[0]).toContain(squeeze(target.says));
});

it('a pack the run lacks is refused in words', async () => {
  await expect(scorecardPdf(run, 'no-such-pack')).rejects.toThrow('no-such-pack');
});

it('keeps to one page with a crowd of long words, and writes no empty box for another script', async () => {
  const long = 'Łukasz Ångström–Nguyễn said every dose aloud and heard it back '.repeat(8);
  const words = {
    takeHome: Array.from({ length: 9 }, () => long),
    systemFixes: ['电话坏了', 'Телефон', 'Το τηλέφωνο', long, long],
  };
  const dose = run.events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!;
  const end = run.events.at(-1)!;
  const many = Array.from({ length: 25 }, (_, i) => ({ ...dose, seq: end.seq + 1 + i, occurredAtMs: 1000 + i * 1000 }));
  const crowded: RunExport = {
    ...run,
    events: [...run.events.slice(0, -1), ...many, { ...end, seq: end.seq + 40 }] as RunExport['events'],
    definition: {
      ...run.definition,
      scenario: { ...run.definition.scenario, learnerTitle: 'A very long title of a scenario '.repeat(4) },
    },
  };
  const [page, ...more] = await pagesOf(await summaryPdf(crowded, undefined, words));
  expect(more).toEqual([]);
  // Further Latin letters, Greek and Cyrillic are printed; Chinese is not, and the foot says so.
  expect(page).toMatch(/Łukasz Ångström–Nguyen/);
  expect(page).toContain('Телефон');
  expect(page).toContain('????');
  expect(page).toContain('letters that these typefaces lack');
  expect(page).toContain('and 6 more');
  expect(page).toMatch(/and \d+ more, on the scorecard/);
  const folder = process.env['SHOTS'];
  if (folder) writeFileSync(path.join(folder, 'crowded-summary.pdf'), await summaryPdf(crowded, undefined, words));
  if (folder) writeFileSync(path.join(folder, 'crowded-scorecard.pdf'), await scorecardPdf(crowded));
});

it('Greek, Cyrillic and Latin with marks are printed by both papers, with nothing marked as lacking', async () => {
  const title = 'Αναφυλαξία, анафилаксия, Őszi gyakorlat ășțłđż';
  const { scenario } = run.definition;
  const named: RunExport = {
    ...run,
    definition: { ...run.definition, scenario: { ...scenario, title, learnerTitle: title } },
  };
  for (const bytes of [await summaryPdf(named), await scorecardPdf(named)]) {
    const text = (await pagesOf(bytes)).join(' ');
    expect(text).toContain(title);
    expect(text).not.toContain('letters that these typefaces lack');
  }
});

it('a run with nothing in it still makes both papers', async () => {
  const empty: RunExport = {
    ...run,
    events: run.events.filter(({ kind }) => kind === 'run-started' || kind === 'run-ended'),
  };
  expect((await pagesOf(await summaryPdf(empty))).length).toBe(1);
  expect((await pagesOf(await scorecardPdf(empty))).join(' ')).not.toMatch(/NaN|undefined/);
});
