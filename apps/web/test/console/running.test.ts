import { describe, expect, it } from 'vitest';
import type { EventBody } from '@breathline/engine';
import type { Intervention } from '@breathline/scenario';
import { hoursOffered } from '../../src/lib/console/live/afterwards.ts';
import { onNow, runningInfusions } from '../../src/lib/console/running.ts';
import { draftFor } from '../../src/lib/console/dose.ts';
import { isWeighing, teamWeightKg } from '../../src/lib/console/team-weight.ts';
import { line } from './sample.ts';

const DRIP: Intervention = {
  id: 'drip',
  name: 'Adrenaline infusion',
  group: 'circulation',
  kind: 'drug',
  drug: 'adrenaline',
  unit: 'micrograms',
  ratePer: 'min',
  search: [],
};
const itemOf = (id: string): Intervention | undefined =>
  id === 'drip' ? DRIP : id === 'shot' ? { ...DRIP, id, ratePer: undefined } : undefined;
const give = (amount: number, intervention = 'drip', step: 'drawn-up' | 'given' = 'given'): EventBody => ({
  kind: 'intervention',
  intervention,
  step,
  amount,
  doseSeen: false,
});
const stop: EventBody = { kind: 'intervention-stopped', intervention: 'drip' };
const running = (log: Parameters<typeof runningInfusions>[0]) =>
  runningInfusions(log, itemOf).map(({ item, sinceMs }) => `${item.id} ${sinceMs}`);

describe('what is still running', () => {
  it('an infusion given runs until it is stopped; an injection never does', () => {
    expect(running([line(1, give(5), 1000), line(2, give(300, 'shot'), 2000)])).toEqual(['drip 1000']);
    expect(running([line(1, give(5), 1000), line(2, stop, 3000)])).toEqual([]);
    expect(running([line(1, give(5), 1000), line(2, stop, 3000), line(3, give(5), 4000)])).toEqual(['drip 4000']);
  });

  it('another rate goes on from the first start; none at all stops it', () => {
    expect(running([line(1, give(5), 1000), line(2, give(10), 3000)])).toEqual(['drip 1000']);
    expect(running([line(1, give(5), 1000), line(2, give(0), 3000)])).toEqual([]);
  });

  it('drawn up is not running, a line taken back counts for nothing, and a stop dated back comes in its place', () => {
    expect(running([line(1, give(5, 'drip', 'drawn-up'), 1000)])).toEqual([]);
    expect(running([line(1, give(5), 1000, 2)])).toEqual([]);
    expect(running([line(1, give(5), 1000), line(2, stop, 3000, 3)])).toEqual(['drip 1000']);
    expect(running([line(1, give(5), 5000), line(2, stop, 3000)])).toEqual(['drip 5000']);
  });
});

describe('what is on now', () => {
  const kinds: Readonly<Record<string, Intervention['kind']>> = {
    mask: 'oxygen',
    nebuliser: 'oxygen',
    flat: 'posture',
    shot: 'drug',
  };
  const find = (id: string): Intervention | undefined =>
    kinds[id] && { id, name: id, group: 'team', kind: kinds[id], search: [] };
  const put = (seq: number, id: string, atMs: number, withdrawnBy: number | null = null) =>
    line(seq, give(1, id), atMs, withdrawnBy);
  const now = (log: Parameters<typeof onNow>[0]) => Object.fromEntries(onNow(log, find));

  it('is the last oxygen and the last position, since when; not a drug, not what was taken back or off', () => {
    expect(now([])).toEqual({});
    const log = [put(1, 'mask', 10_000), put(2, 'flat', 20_000), put(3, 'shot', 30_000), put(4, 'mask', 40_000)];
    expect(now(log)).toEqual({ mask: 10_000, flat: 20_000 });
    expect(now([...log, put(5, 'nebuliser', 50_000)])).toEqual({ nebuliser: 50_000, flat: 20_000 });
    expect(now([...log, put(5, 'nebuliser', 50_000, 6)])).toEqual({ mask: 10_000, flat: 20_000 });
    const off: EventBody = { kind: 'intervention-stopped', intervention: 'mask' };
    expect(now([...log, line(5, off, 60_000)])).toEqual({ flat: 20_000 });
  });
});

describe('hours offered', () => {
  it('are the usual ones and those the pack names, so that the row does not tell which', () => {
    expect(hoursOffered(undefined)).toEqual([1, 2, 4, 6, 12, 24]);
    const rule = { id: 'a', says: 'a', from: 'onset', source: {} as never } as const;
    expect(
      hoursOffered({
        observation: [
          { ...rule, hours: 3 },
          { ...rule, id: 'b', hours: 6 },
        ],
      } as never),
    ).toEqual([1, 2, 3, 4, 6, 12, 24]);
  });
});

describe('the weight the team works with', () => {
  const weighed = (weightUsedKg: number): EventBody =>
    ({ ...give(0, 'weight-asked'), amount: null, weightUsedKg }) as EventBody;

  it('is the one said last, unless it was taken back', () => {
    expect(teamWeightKg([])).toBeNull();
    expect(teamWeightKg([line(1, weighed(20), 1000), line(2, give(5), 2000)])).toBe(20);
    expect(teamWeightKg([line(1, weighed(20), 1000), line(2, weighed(23), 2000)])).toBe(23);
    expect(teamWeightKg([line(1, weighed(20), 1000), line(2, weighed(23), 2000, 3)])).toBe(20);
  });

  it('goes with every dose, and with nothing else', () => {
    expect(draftFor(DRIP, null, 20).weightUsedKg).toBe(20);
    const mask: Intervention = { id: 'o2', name: 'Oxygen', group: 'breathing', kind: 'oxygen', search: [] };
    expect(draftFor(mask, null, 20).weightUsedKg).toBeNull();
    expect(isWeighing({ ...mask, kind: 'team', search: ['kg'] })).toBe(true);
    expect(isWeighing(mask)).toBe(false);
  });
});
