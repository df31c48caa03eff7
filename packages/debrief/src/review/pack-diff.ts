/** How two packs differ, line by line: two guidelines that disagree, or a site's own copy and what it came from. */
import type { DoseRule, GuidelinePack, ObservationRule, Target } from '@breathline/scenario';
import { amountText, durationText } from '../words.ts';

export interface PackDifference {
  readonly part: 'dose' | 'target' | 'observation' | 'oxygen' | 'recognition' | 'tolerance';
  /** What the line is about, in words. */
  readonly about: string;
  /** What each pack says; null = it has no such line. */
  readonly a: string | null;
  readonly b: string | null;
}

function doseText(rule: DoseRule, unit: string): string {
  const parts = (rule.bands ?? []).map((band) => {
    const age =
      band.belowAgeYears === undefined
        ? `from ${ageText(band.fromAgeYears)}`
        : `${ageText(band.fromAgeYears)} to ${ageText(band.belowAgeYears)}`;
    const high = band.amountHigh === undefined ? '' : ` to ${amountText(band.amountHigh, unit)}`;
    return `${age}: ${amountText(band.amount, unit)}${high}`;
  });
  if (rule.perKg) {
    const high = rule.perKg.amountHigh === undefined ? '' : ` to ${amountText(rule.perKg.amountHigh, unit)}`;
    const most = rule.perKg.max === undefined ? '' : `, at most ${amountText(rule.perKg.max, unit)}`;
    parts.push(`${amountText(rule.perKg.amount, unit)}${high} for each kg${most}`);
  }
  if (rule.concentration !== undefined) parts.push(`as ${rule.concentration}`);
  if (rule.overMs !== undefined) parts.push(`over ${durationText(rule.overMs)}`);
  return parts.join('; ');
}

const ageText = (years: number): string =>
  years < 1 && years > 0 ? `${Math.round(years * 12)} months` : `${Math.round(years * 100) / 100} years`;

function targetText(target: Target): string {
  const due =
    target.dueMs === undefined ? '' : `due ${durationText(target.dueMs)} from ${target.clock.replaceAll('-', ' ')}`;
  const limit = target.limitMs === undefined ? '' : `credit ends at ${durationText(target.limitMs)}`;
  const early = target.notBeforeMs === undefined ? '' : `not before ${durationText(target.notBeforeMs)}`;
  const order = target.mustFollow === undefined ? '' : `only after ${target.mustFollow.replaceAll('-', ' ')}`;
  const never = target.contraindicated ? 'should not be done' : '';
  const weight = `weight ${target.weight}${target.critical ? ', critical' : ''}`;
  const status = target.timeStatus === 'teaching' ? 'teaching time' : 'the guideline’s time';
  return [target.says, due, early, limit, order, never, status, weight].filter((text) => text !== '').join('; ');
}

const observationText = (rule: ObservationRule): string =>
  `${rule.hours} hours from ${rule.from.replaceAll('-', ' ')}: ${rule.says}`;

/** The differences, doses first. `unitOf` gives an intervention's unit; `nameOf` its name. Equal packs give none. */
export function packDifferences(
  a: GuidelinePack,
  b: GuidelinePack,
  names: { readonly nameOf: (intervention: string) => string; readonly unitOf: (intervention: string) => string },
): readonly PackDifference[] {
  const out: PackDifference[] = [];
  const both = <T>(
    part: PackDifference['part'],
    left: readonly T[],
    right: readonly T[],
    key: (item: T) => string,
    about: (item: T) => string,
    text: (item: T) => string,
  ): void => {
    const lefts = new Map(left.map((item) => [key(item), item]));
    const rights = new Map(right.map((item) => [key(item), item]));
    for (const id of new Set([...lefts.keys(), ...rights.keys()])) {
      const one = lefts.get(id);
      const other = rights.get(id);
      const [ta, tb] = [one === undefined ? null : text(one), other === undefined ? null : text(other)];
      if (ta !== tb) out.push({ part, about: about((one ?? other)!), a: ta, b: tb });
    }
  };
  both(
    'dose',
    a.doses,
    b.doses,
    (rule) => rule.intervention,
    (rule) => names.nameOf(rule.intervention),
    (rule) => doseText(rule, names.unitOf(rule.intervention)),
  );
  both(
    'target',
    a.targets,
    b.targets,
    ({ id }) => id,
    ({ says }) => says,
    targetText,
  );
  const strata = (pack: GuidelinePack): string | null =>
    (pack.observation ?? []).length === 0 ? null : (pack.observation ?? []).map(observationText).join(' | ');
  if (strata(a) !== strata(b))
    out.push({ part: 'observation', about: 'Observation period', a: strata(a), b: strata(b) });
  const range = ({ oxygenRange: aim }: GuidelinePack): string | null =>
    aim === undefined
      ? null
      : `${aim.lowPercent} to ${aim.highPercent} %${aim.aboveIsDanger ? '; more on added oxygen is danger' : ''}`;
  if (range(a) !== range(b))
    out.push({ part: 'oxygen', about: 'Saturation aimed for on oxygen', a: range(a), b: range(b) });
  const criteria = (pack: GuidelinePack): string => pack.recognition.map(({ says }) => says).join(' | ');
  const same =
    JSON.stringify(a.recognition.map(({ when }) => when)) === JSON.stringify(b.recognition.map(({ when }) => when));
  if (!same || criteria(a) !== criteria(b)) {
    out.push({ part: 'recognition', about: 'Recognition criteria', a: criteria(a), b: criteria(b) });
  }
  const tolerance = ({ doseTolerance: t }: GuidelinePack): string =>
    `right within ${Math.round(t.full * 100)} %, partly within ${Math.round(t.partial * 100)} %, critical from ${t.criticalHigh} times or down to ${t.criticalLow} times`;
  if (tolerance(a) !== tolerance(b)) {
    out.push({ part: 'tolerance', about: 'Dose tolerance', a: tolerance(a), b: tolerance(b) });
  }
  return out;
}
