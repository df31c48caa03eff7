/**
 * The same scenario, seed and log give the same state after every step, to the last bit: a golden kept in the project.
 * It may change only together with ENGINE_VERSION. To renew it: UPDATE_GOLDEN=1 npx vitest run packages/engine/test/determinism.test.ts
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { ENGINE_VERSION, replay } from '../src/index.ts';
import { StateHash } from '../src/run/noise.ts';
import { REACTION, TREATED } from './fixtures.ts';

const FILE = new URL('./golden.json', import.meta.url);

interface Golden {
  readonly engineVersion: string;
  readonly ticks: number;
  /** Hash over the hashes of all ticks. */
  readonly all: string;
  /** State after every 10 s: says where a change begins. */
  readonly every10s: readonly string[];
}

function measure(): Golden {
  const all = new StateHash();
  const every10s: string[] = [];
  let ticks = 0;
  replay(REACTION, TREATED, {
    onTick: (run) => {
      ticks++;
      const hash = run.hash();
      all.text(hash);
      if (run.clockMs % 10_000 === 0) every10s.push(hash);
    },
  });
  return { engineVersion: ENGINE_VERSION, ticks, all: all.digest(), every10s };
}

it('every tick of a pinned run hashes as it did', () => {
  const now = measure();
  if (process.env['UPDATE_GOLDEN'] === '1' || !existsSync(FILE)) {
    if (process.env['UPDATE_GOLDEN'] !== '1') throw new Error('golden.json is missing; renew it with UPDATE_GOLDEN=1');
    writeFileSync(FILE, `${JSON.stringify(now, null, 2)}\n`);
  }
  const golden = JSON.parse(readFileSync(FILE, 'utf8')) as Golden;
  const from = golden.every10s.findIndex((hash, i) => hash !== now.every10s[i]);
  expect(
    from,
    `The numbers differ within the first ${(from + 1) * 10} s. If the change is meant, raise ENGINE_VERSION and renew golden.json.`,
  ).toBe(-1);
  expect(now).toEqual(golden);
  expect(now.ticks).toBe(6000);
});
