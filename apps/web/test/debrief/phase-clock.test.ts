/** Time spent on the phases of a debrief, and when the analysis counts as opened, in every structure. */
import { describe, expect, it } from 'vitest';
import type { PhaseOpened } from '../../src/lib/debrief/guide/board.ts';
import { LEFT_OPEN_MS, phaseTime } from '../../src/lib/debrief/guide/phase-clock.ts';
import { STRUCTURES, firstOpening, opensAnalysis } from '../../src/lib/debrief/guide/structures.ts';

const at = (phase: string, wallMs: number): PhaseOpened => ({ phase, wallMs, structure: null, minutes: null });
const MIN = 60_000;

describe('the clock of a phase', () => {
  it('runs from when it was opened, stands when another is, and adds up when it is come back to', () => {
    const log = [at('reactions', 0), at('analysis', 3 * MIN), at('reactions', 5 * MIN), at('analysis', 6 * MIN)];
    expect(phaseTime(log, 'reactions', 10 * MIN)).toEqual({ spentMs: 4 * MIN, running: false });
    expect(phaseTime(log, 'analysis', 10 * MIN)).toEqual({ spentMs: 6 * MIN, running: true });
    expect(phaseTime(log, 'summary', 10 * MIN)).toEqual({ spentMs: 0, running: false });
  });

  it('goes on over a change of structure or length, and forgets a phase that was left open', () => {
    const log = [at('analysis', 0), at('analysis', 2 * MIN)];
    expect(phaseTime(log, 'analysis', 3 * MIN)).toEqual({ spentMs: 3 * MIN, running: true });
    expect(phaseTime(log, 'analysis', 3 * MIN + LEFT_OPEN_MS)).toEqual({ spentMs: 2 * MIN, running: false });
  });
});

describe('the structures', () => {
  it('each has its own phases, begins with reactions, ends with a summary, and fills the time', () => {
    const walks = STRUCTURES.map(({ phases }) => phases.map(({ title }) => title).join(', '));
    expect(new Set(walks).size).toBe(STRUCTURES.length);
    expect(STRUCTURES[0].id).toBe('three-phases');
    for (const { phases } of STRUCTURES) {
      expect(phases.at(0)?.id).toBe('reactions');
      expect(phases.at(-1)?.id).toBe('summary');
      expect(phases.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 10);
      for (const phase of phases) expect(phase.asks.length).toBeGreaterThan(0);
    }
  });

  it('open the analysis only with a phase of it; neither reactions nor the summary do', () => {
    for (const structure of STRUCTURES) {
      expect(opensAnalysis(firstOpening(structure).id, structure.id)).toBe(true);
      for (const quiet of ['reactions', 'summary', 'plus', 'delta', 'description'])
        expect(opensAnalysis(quiet, structure.id), `${quiet} in ${structure.id}`).toBe(false);
    }
    expect(opensAnalysis('ten-minutes', null)).toBe(true);
    // A log of before structures were kept.
    expect(opensAnalysis('analysis', null)).toBe(true);
  });
});
