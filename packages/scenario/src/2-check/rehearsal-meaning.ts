/** Sense checks of a scenario's rehearsals. */
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { allowedDose } from '../3-build/dose.ts';
import { doseAmount, unitText } from '../3-build/dose-rule.ts';
import { actAmount } from '../3-build/rehearsal.ts';
import { ms, need } from '../3-build/quantities.ts';
import { closest, nameSome } from '../words/closest.ts';
import type { Intervention, Library } from '../types.ts';
import { checkVitalComparison } from './conditions.ts';
import { facultyLabels } from './scenario-conditions.ts';
import type { ActDoc } from './schema/rehearsal-schema.ts';
import type { ScenarioDoc } from './schema/scenario-schema.ts';

const ACTIONS = ['give', 'assess', 'attach', 'force', 'faculty'] as const;

export function checkRehearsals(doc: ScenarioDoc, root: Tree, bag: Bag, library: Library | null): void {
  const labels = facultyLabels(doc);
  const names = new Set<string>();
  doc.rehearsals?.forEach((rehearsal, r) => {
    const base: Path = ['rehearsals', r];
    if (names.has(rehearsal.name))
      bag.add(
        'duplicate-id',
        nodeAt(root, [...base, 'name']),
        { found: rehearsal.name, where: 'the rehearsals' },
        { path: pathText(base) },
      );
    names.add(rehearsal.name);
    const endMs = rehearsal.for ? ms(rehearsal.for) : Infinity;
    const late = (text: string, where: string, path: Path): void => {
      if (ms(text) > endMs)
        bag.add(
          'time-past-end',
          nodeAt(root, path),
          { where, found: text, expected: rehearsal.for! },
          { path: pathText(path) },
        );
    };
    rehearsal.does?.forEach((act, a) => {
      const path = [...base, 'does', a];
      late(act.at, 'The step', [...path, 'at']);
      checkAct(act, path, doc, labels, root, bag, library);
    });
    rehearsal.expect.forEach((one, e) => {
      const path = [...base, 'expect', e];
      if ('vital' in one) {
        checkVitalComparison(one, path, root, bag);
        late(one.at, 'The expectation', [...path, 'at']);
      } else if ('state' in one && one.by) late(one.by, 'The expectation', [...path, 'by']);
    });
  });
}

function checkAct(
  act: ActDoc,
  path: Path,
  doc: ScenarioDoc,
  labels: readonly string[],
  root: Tree,
  bag: Bag,
  library: Library | null,
): void {
  const at = { path: pathText(path) };
  const node = (...more: Path): Tree => nodeAt(root, [...path, ...more]);
  const present = ACTIONS.filter((key) => act[key] !== undefined);
  if (present.length === 0)
    bag.add('missing-key', node(), { where: 'a rehearsal step', expected: ACTIONS.join('`, `') }, at);
  if (present.length > 1)
    bag.add(
      'two-forms',
      node(present[1]!),
      { where: 'a rehearsal step', found: present[0]!, other: present[1]! },
      { ...at, hint: 'write two steps' },
    );
  if (act.faculty !== undefined && !labels.includes(act.faculty)) {
    const near = closest(act.faculty, labels);
    bag.add(
      'unknown-faculty-label',
      node('faculty'),
      { found: act.faculty },
      {
        ...at,
        hint: near ? `did you mean \`${near}\`?` : labels.length > 0 ? `there is ${nameSome(labels)}` : undefined,
      },
    );
  }
  if (act.give === undefined) {
    for (const key of ['dose', 'flow', 'route', 'site', 'device-use'] as const) {
      if (act[key] !== undefined) bag.add('not-dosed', node(key), { found: present[0] ?? 'the step', where: key }, at);
    }
    return;
  }
  const intervention = library?.interventions.find((one) => one.id === act.give);
  if (intervention) checkGive(act, intervention, path, doc, root, bag, library!);
}

function checkGive(
  act: ActDoc,
  intervention: Intervention,
  path: Path,
  doc: ScenarioDoc,
  root: Tree,
  bag: Bag,
  library: Library,
): void {
  const at = { path: pathText(path) };
  const node = (key: string): Tree => nodeAt(root, [...path, key]);
  if (intervention.kind === 'assessment') {
    bag.add(
      'assess-not-give',
      node('give'),
      { found: intervention.id },
      { ...at, hint: `write \`assess: ${intervention.id}\`` },
    );
  }
  if (act.flow !== undefined && !intervention.oxygen)
    bag.add('not-dosed', node('flow'), { found: intervention.id, where: 'flow' }, at);
  if (act['device-use'] !== undefined && !intervention.deviceDoses)
    bag.add('not-dosed', node('device-use'), { found: intervention.id, where: 'device-use' }, at);
  if (act.dose === undefined || act.dose === 'none') return;
  if (!intervention.unit) {
    bag.add('not-dosed', node('dose'), { found: intervention.id, where: 'dose' }, { ...at, hint: 'leave `dose` out' });
    return;
  }
  const patient = { ageYears: need(doc.patient.age).value, weightKg: need(doc.patient.weight).value };
  if (act.dose === 'as-pack') {
    const rules = library.packs.filter((pack) => doc.guidelines.includes(pack.id)).flatMap((pack) => pack.doses);
    const fits =
      rules.some((rule) => rule.intervention === intervention.id && allowedDose(rule, patient)) ||
      (intervention.usual && allowedDose(intervention.usual, patient));
    if (!fits)
      bag.add(
        'no-pack-dose',
        node('dose'),
        { found: intervention.id },
        { ...at, hint: 'write the amount, or add a dose rule to the pack' },
      );
    return;
  }
  if (actAmount(act.dose, intervention, patient.weightKg) === null && doseAmount(act.dose, intervention) === null) {
    bag.add(
      'dose-unit',
      node('dose'),
      { found: act.dose, where: intervention.id, expected: unitText(intervention) },
      at,
    );
  }
}
