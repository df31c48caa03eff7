/** What axe-core finds on a page as it stands: one way of asking for every test in a browser. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const script = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** `colour`: only what a theme can change, for a page whose every rule was asked about in the other theme. */
export type Rules = 'all' | 'colour';

const ASKED: Record<Rules, object> = {
  all: { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] },
  // By rule: the category holds the 7:1 of level AAA too, which the other theme was not asked about.
  colour: { runOnly: { type: 'rule', values: ['color-contrast', 'link-in-text-block'] }, preload: false },
};

interface AxeResult {
  violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[];
}

/** Each thing found, in words; none is an empty list. */
export const axeFindings = async (page: Page, rules: Rules = 'all'): Promise<string[]> => {
  // evaluate() runs in the page's own world without touching its policy, so the policy stays as shipped.
  if (!(await page.evaluate(() => 'axe' in globalThis))) await page.evaluate(script);
  // Only what is wrong is described: describing all that is right takes four times as long as finding it.
  const options = JSON.stringify({ ...ASKED[rules], resultTypes: ['violations'] });
  const result = (await page.evaluate(`axe.run(document, ${options})`)) as AxeResult;
  return result.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ html, failureSummary }) => `${id}: ${html.slice(0, 160)} ${failureSummary ?? ''}`),
  );
};
