import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { ERRORS, check, ProblemSchema, problem, problemBody } from '../src/index.ts';

const page = readFileSync(new URL('../ERRORS.md', import.meta.url), 'utf8');
const sections = new Map(
  page
    .split(/^## /m)
    .slice(1)
    .map((section) => [section.slice(0, section.indexOf('\n')).trim(), section] as const),
);

it('documents every code, and nothing else', () => {
  expect([...sections.keys()].sort()).toEqual(Object.keys(ERRORS).sort());
});

it.each(Object.entries(ERRORS))('%s: the page has its status, title and hint', (code, entry) => {
  const section = sections.get(code)?.replace(/\s+/g, ' ') ?? '';
  expect(section).toContain(`**${entry.status}** ${entry.title}. ${entry.hint}`);
});

it('makes problem details that fit their schema', () => {
  const body = problemBody(problem('stale-sequence', 'Someone paused the run.'), { currentSeq: 9 });
  expect(check(ProblemSchema, body)).toEqual({ ok: true, value: body });
  expect(body).toMatchObject({ status: 409, code: 'stale-sequence', currentSeq: 9 });
});
