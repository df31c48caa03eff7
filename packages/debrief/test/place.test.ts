/** Side and space of a needle into the chest, against the side the scenario makes ill and the site the pack names. */
import { describe, expect, it } from 'vitest';
import type { Intervention } from '@breathline/scenario';
import { reviewRun, scoreRun } from '../src/index.ts';
import { INTERVENTIONS, SCENARIO, answer, build, give, pack, s, target, type Line } from './build-run.ts';

const NEEDLE: Intervention = { id: 'needle', name: 'Needle', group: 'breathing', kind: 'procedure', search: [] };
const ASKED = pack({
  targets: [
    target({
      id: 'decompressed',
      interventions: ['needle'],
      dueMs: s(180),
      limitMs: s(360),
      side: 'ill',
      critical: true,
    }),
    target({ id: 'needle-space', interventions: ['needle'], clock: 'arrival', space: '2nd space' }),
  ],
});

function run(lines: readonly Line[], pattern: string | undefined = 'right-tension') {
  const patient = { ...SCENARIO.patient, illness: [{ disease: 'pneumothorax', ...(pattern ? { pattern } : {}) }] };
  const made = build({ lines, pack: ASKED, scenario: { patient } });
  const library = { ...made.definition.library, interventions: [...INTERVENTIONS, NEEDLE] };
  return { ...made, definition: { ...made.definition, library } };
}
const needle = (at: number, site?: string): Line => give(at, 'needle', site === undefined ? {} : { site });
const line = (id: string, ...of: Parameters<typeof run>) =>
  scoreRun(run(...of)).results.find((one) => one.target.id === id)!;
const harm = (...of: Parameters<typeof run>) => reviewRun(run(...of)).harm.filter(({ kind }) => kind === 'wrong-side');

describe('the side', () => {
  it('counts where the scenario is ill, and not on the other', () => {
    expect(line('decompressed', [needle(s(120), 'right')])).toMatchObject({ result: 'met', actualMs: s(120) });
    const wrong = line('decompressed', [needle(s(120), 'left side, 4th or 5th space')]);
    expect(wrong).toMatchObject({ result: 'missed', actualMs: null });
    expect(wrong.because).toBe('Needle at 2:00 on the left; the right is ill');
    // The same needle where the left is ill.
    expect(line('decompressed', [needle(s(120), 'left')], 'left-tension')).toMatchObject({ result: 'met' });
  });

  it('the wrong one first makes the right one no sooner, and is harm', () => {
    const lines = [needle(s(120), 'left'), needle(s(300), 'right')];
    expect(line('decompressed', lines)).toMatchObject({ result: 'late', actualMs: s(300) });
    expect(harm(lines)).toEqual([{ atMs: s(120), kind: 'wrong-side', text: 'Needle on the left; the right was ill.' }]);
    expect(harm([needle(s(120), 'right')])).toEqual([]);
  });

  it('is not judged where nobody logged it, nor where the scenario names none', () => {
    expect(line('decompressed', [needle(s(120))])).toMatchObject({ result: 'met' });
    expect(line('decompressed', [needle(s(120), 'left')], '')).toMatchObject({ result: 'met' });
    expect(harm([needle(s(120), 'left')], '')).toEqual([]);
  });
});

describe('the space', () => {
  it('is the pack’s, another, or not in the log and then asked about', () => {
    expect(line('needle-space', [needle(s(120), 'right front, 2nd space')])).toMatchObject({ result: 'met' });
    const other = line('needle-space', [needle(s(120), 'right side, 4th or 5th space')]);
    expect(other).toMatchObject({ result: 'missed' });
    expect(other.because).toContain('this pack names the 2nd space');
    expect(line('needle-space', [needle(s(120), 'right')])).toMatchObject({ result: 'not-recorded' });
    expect(scoreRun(run([needle(s(120), 'right')])).toReconcile.map((one) => one.target)).toContain('needle-space');
    expect(line('needle-space', [])).toMatchObject({ result: 'not-due' });
  });

  it('takes the team’s own account where the log has none', () => {
    expect(line('needle-space', [needle(s(120), 'right'), answer('needle-space', 'done')])).toMatchObject({
      result: 'met',
    });
    expect(line('needle-space', [needle(s(120), 'right'), answer('needle-space', 'not-done')])).toMatchObject({
      result: 'missed',
    });
  });
});
