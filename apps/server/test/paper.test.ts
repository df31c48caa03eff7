/** The PDFs, read back by an independent reader: whole, one page where one is promised, the caution on every page. */
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';
import { beforeAll, expect, it } from 'vitest';
import { scoreRun } from '@breathline/debrief';
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

it('a pack the run lacks is refused in words', async () => {
  await expect(scorecardPdf(run, 'no-such-pack')).rejects.toThrow('no-such-pack');
});
