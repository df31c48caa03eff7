/** Where on the body something was done, against the side that is ill and the site a pack names. */
import type { RunExport } from '@breathline/engine';
import type { Target } from '@breathline/scenario';
import type { Act, PreparedLog } from '../prepare-log.ts';
import { clockText, interventionName } from '../words.ts';
import { actEvidence } from './evidence.ts';
import { actsOf, none, type Scoring, type Verdict } from './scoring.ts';

export type Side = 'left' | 'right';

const sideIn = (words: string | undefined): Side | null => {
  const found = (['left', 'right'] as const).filter((side) => words?.toLowerCase().includes(side));
  return found.length === 1 ? found[0]! : null;
};

/** The side the scenario makes ill ("right-tension"); null where it names none, or both. */
export function illSide(run: RunExport): Side | null {
  const { scenario, patient } = run.definition;
  const illness = (patient ?? scenario.patient).illness ?? scenario.patient.illness ?? [];
  const sides = new Set(illness.flatMap(({ pattern }) => sideIn(pattern) ?? []));
  return sides.size === 1 ? [...sides][0]! : null;
}

/** Acts for this line on the side that is not ill. One whose side nobody logged is not among them. */
export function wrongSideActs(run: RunExport, log: PreparedLog, target: Target): readonly Act[] {
  const ill = target.side === undefined ? null : illSide(run);
  if (ill === null) return [];
  return actsOf(log, target.interventions).filter((act) => {
    const side = sideIn(act.given?.site);
    return side !== null && side !== ill;
  });
}

/** A line missed because all that was done for it was done on the other side. */
export function wrongSideVerdict(scoring: Scoring, wrong: readonly Act[], due: number | null): Verdict {
  const act = wrong[0]!;
  const { library } = scoring.run.definition;
  const name = interventionName(library, act.intervention);
  return {
    result: 'missed',
    because: `${name} at ${clockText(act.atMs)} on the ${sideIn(act.given?.site)}; the ${illSide(scoring.run)} is ill`,
    act: null,
    dueMs: due,
    timing: 0,
    arithmetic: 'On the wrong side: 0',
    evidence: wrong.map((one) => actEvidence(scoring, one)),
  };
}

/** The space of the first act, against the pack's. Not recorded is asked about; never taken for right or wrong. */
export function spaceVerdict(scoring: Scoring, target: Target): Verdict {
  const space = target.space ?? '';
  const act = actsOf(scoring.log, target.interventions)[0] ?? null;
  if (act === null) return none('not-due', 'None in the log', null, null);
  const name = interventionName(scoring.run.definition.library, act.intervention);
  const site = act.given?.site ?? '';
  const answer = scoring.log.answers.get(target.id)?.answer;
  const evidence = [actEvidence(scoring, act)];
  const done = { act, dueMs: null, evidence };
  const at = `${name} at ${clockText(act.atMs)}`;
  if (site.includes('space') || answer === 'done' || answer === 'not-done') {
    const logged = site.includes('space');
    const right = logged ? site.includes(space) : answer === 'done';
    const where = logged ? `, ${site}` : ", by the team's own account";
    return right
      ? { ...done, result: 'met', because: `${at}${where}`, timing: 1, arithmetic: 'At the site the pack names: 1' }
      : {
          ...done,
          act: null,
          result: 'missed',
          because: `${at}${where}; this pack names the ${space}`,
          timing: 0,
          arithmetic: 'At another site: 0',
        };
  }
  const unseen = answer === 'unsure' ? 'the team did not see in which space' : 'its space is not in the log';
  return { ...none('not-recorded', `${at}; ${unseen}`, null, null), evidence };
}
