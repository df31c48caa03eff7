/**
 * Each law and each published behaviour on the package itself (the source stands in each test's name), and whether they would
 * notice: turning any plus or minus of the model's source into the other must fail a law or a published behaviour, not only a pinned
 * number; the few that change nothing are listed with the reason (signs-equal.ts). One sign in sixty is tried here, another
 * sixtieth with each version of the engine; all of them with SIGNS_OF=1 npx vitest run tests/reference/signs.test.ts (twenty
 * minutes of one core), another sample with SIGNS_TURN=n; all of one part with SIGNS_IN=core/circulation (files whose names begin so). The mathematics has its own tests
 * (packages/patient/test/maths.test.ts), the ledger is watched by balance.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { BEHAVIOURS } from './behaviours.ts';
import type { InnerApi } from './checks.ts';
import { ENGINE_VERSION } from '@breathline/engine';
import { LAWS } from './laws.ts';
import { EQUAL_SIGNS, isEqual } from './signs-equal.ts';
import { bundle, inSample, load, signsOf, turned, within } from './signs.ts';
import { asksFirst, TURNS, withTurn } from './turns.ts';

/** Only signs of files that begin so, all of them unless SIGNS_OF says otherwise. */
const IN = process.env['SIGNS_IN'] ?? '';
const OF = Number(process.env['SIGNS_OF'] ?? (IN === '' ? 60 : 1));
/** Goes on with each version (7 shares no factor with 60), so that in time each sign is tried. */
const [major = 0, minor = 0, patch = 0] = ENGINE_VERSION.split('.').map(Number);
const TURN = Number(process.env['SIGNS_TURN'] ?? 11 * major + minor + 7 * patch);
const code = await bundle();
const signs = signsOf(code).filter((sign) => !/^(maths|core\/ledger)/.test(sign.file));
const sample = signs.filter((sign) => sign.file.startsWith(IN) && inSample(sign, OF, TURN % OF) && !isEqual(sign));

/** Which check notices, or null. */
function noticedBy(api: InnerApi, checks: readonly { name: string; check(api: InnerApi): void }[]): string | null {
  for (const one of checks) {
    try {
      within(60_000, () => {
        one.check(api);
      });
    } catch {
      return one.name;
    }
  }
  return null;
}

/** Every check with what it cost on the package itself, in microseconds; not yet run costs most. */
const CHECKS = [...LAWS, ...BEHAVIOURS].map((check) => ({ check, cost: Infinity }));
/** Quick checks first; whatever is named (by how its name begins) is asked before them. */
function inOrder(first: readonly string[]) {
  const rank = (name: string) => first.findIndex((one) => name.startsWith(one)) >>> 0;
  return [...CHECKS]
    .sort((a, b) => rank(a.check.name) - rank(b.check.name) || a.cost - b.cost)
    .map(({ check }) => check);
}

/** Which check notices a copy, or null. */
function noticedIn(text: string, first: readonly string[]): string | null {
  let api: InnerApi;
  try {
    api = load(text);
  } catch {
    return 'does not load';
  }
  return noticedBy(api, inOrder(first));
}

describe('laws and published behaviours', () => {
  const base = load(code);
  it.each(CHECKS.map((one) => [one.check.name, one.check.source, one] as const))('%s (%s)', (_name, source, one) => {
    expect(source.length).toBeGreaterThan(5);
    const start = process.cpuUsage();
    one.check.check(base);
    one.cost = process.cpuUsage(start).user;
  });
});

describe('turning one sign fails the checks', () => {
  it.each(TURNS.map((turn) => [turn.what, turn] as const))('%s', { timeout: 600_000 }, (_what, turn) => {
    const by = noticedIn(withTurn(code, turn), [turn.noticedBy]);
    if (process.env['SIGNS_SAY'] !== undefined) console.log(`${turn.what} <- ${by}`);
    // A copy that does not load would be noticed for the wrong reason.
    expect(by).not.toBe('does not load');
    expect(by).not.toBeNull();
  });

  it('each sign said to change nothing is still there', () => {
    for (const one of EQUAL_SIGNS)
      expect(
        signs.some((sign) => sign.file === one.file && sign.text === one.text),
        `${one.file}: ${one.text}`,
      ).toBe(true);
  });

  it(`a sample of ${sample.length} of ${signs.length} signs: each is noticed`, { timeout: 3_600_000 }, () => {
    expect(signs.length).toBeGreaterThan(600);
    expect(sample.length).toBeGreaterThan(IN === '' ? 6 : 0);
    const unnoticed = sample
      .filter((sign) => noticedIn(turned(code, sign), asksFirst(sign.file)) === null)
      .map((sign) => `${sign.file}: ${sign.text} (${sign.nth})`);
    if (OF < 60) console.log(`${unnoticed.length} unnoticed\n${unnoticed.join('\n')}`);
    expect(unnoticed).toEqual([]);
  });
});
