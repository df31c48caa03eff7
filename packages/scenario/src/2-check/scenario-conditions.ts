/** Finds every condition of a scenario. */
import type { Path } from '../1-read/tree.ts';
import { eachCondition } from './conditions.ts';
import type { ConditionDoc } from './schema/condition.ts';
import type { ScenarioDoc } from './schema/scenario-schema.ts';
import { threadsOf } from './threads.ts';

/** Every condition of a scenario, with the thread it stands in (null in rehearsals). */
export function eachScenarioCondition(
  doc: ScenarioDoc,
  visit: (part: ConditionDoc, path: Path, thread: string | null) => void,
): void {
  for (const thread of threadsOf(doc)) {
    for (const [id, state] of Object.entries(thread.states)) {
      const base = [...thread.statesPath, id];
      state.transitions?.forEach((one, i) => visit(one.when, [...base, 'transitions', i, 'when'], thread.id));
      state.cues?.forEach(
        (one, i) => one['only-if'] && visit(one['only-if'], [...base, 'cues', i, 'only-if'], thread.id),
      );
    }
  }
  doc.rehearsals?.forEach((rehearsal, r) =>
    rehearsal.does?.forEach((act, a) => {
      for (const key of ['unless', 'only-if'] as const) {
        const part = act[key];
        if (part) visit(part, ['rehearsals', r, 'does', a, key], null);
      }
    }),
  );
}

/** Buttons that some condition waits for. */
export function facultyLabels(doc: ScenarioDoc): string[] {
  const labels = new Set<string>();
  eachScenarioCondition(doc, (part, path) =>
    eachCondition(part, path, (inner) => 'faculty' in inner && labels.add(inner.faculty)),
  );
  return [...labels];
}
