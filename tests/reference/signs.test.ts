/**
 * Turning any plus or minus of the model's source into the other must fail a law or a published behaviour, not only a pinned
 * number; the few that change nothing are listed with the reason (signs-equal.ts). One sign in sixty is tried here, another
 * sixtieth with each version of the engine; all of them with SIGNS_OF=1 npx vitest run tests/reference/signs.test.ts (twenty
 * minutes of one core), another sample with SIGNS_TURN=n. The mathematics has its own tests
 * (packages/patient/test/maths.test.ts), the ledger is watched by balance.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { BEHAVIOURS } from './behaviours.ts';
import type { InnerApi } from './checks.ts';
import { ENGINE_VERSION } from '@breathline/engine';
import { LAWS } from './laws.ts';
import { EQUAL_SIGNS, isEqual } from './signs-equal.ts';
import { bundle, inSample, load, signsOf, turned, within } from './signs.ts';

const OF = Number(process.env['SIGNS_OF'] ?? 60);
/** Goes on with each version (7 shares no factor with 60), so that in time each sign is tried. */
const [major = 0, minor = 0, patch = 0] = ENGINE_VERSION.split('.').map(Number);
const TURN = Number(process.env['SIGNS_TURN'] ?? 11 * major + minor + 7 * patch);
const code = await bundle();
const signs = signsOf(code).filter((sign) => !/^(maths|core\/ledger)/.test(sign.file));
const sample = signs.filter((sign) => inSample(sign, OF, TURN % OF) && !isEqual(sign));

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

describe('signs of the model', () => {
  const base = load(code);
  // Quick checks first.
  const checks = [...LAWS, ...BEHAVIOURS]
    .map((check) => {
      const start = process.cpuUsage();
      const failed = noticedBy(base, [check]);
      return { check, failed, cost: process.cpuUsage(start).user };
    })
    .sort((a, b) => a.cost - b.cost);
  it('an unchanged copy passes every check', () => {
    expect(checks.flatMap((c) => c.failed ?? [])).toEqual([]);
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
    expect(sample.length).toBeGreaterThan(6);
    const unnoticed: string[] = [];
    for (const sign of sample) {
      let by: string | null;
      try {
        by = noticedBy(load(turned(code, sign)), checks.map((c) => c.check)); // prettier-ignore
      } catch {
        by = 'does not load';
      }
      if (by === null) unnoticed.push(`${sign.file}: ${sign.text} (${sign.nth})`);
    }
    if (process.env['SIGNS_OF'] !== undefined) console.log(`${unnoticed.length} unnoticed\n${unnoticed.join('\n')}`);
    expect(unnoticed).toEqual([]);
  });
});
