/** A pack's lines in words, part by part, so that two of them can be laid side by side. */
import {
  bandWords,
  formatAmount,
  formatNumber,
  type DoseRule,
  type GuidelinePack,
  type Library,
  type ObservationRule,
  type Target,
} from '@breathline/scenario';
import { durationText, listText } from '../words.ts';
import { conditionText } from './condition-words.ts';

/** What an intervention is called and measured in: a dose never stands without its unit, an infusion never without its time. */
export interface PackNames {
  readonly nameOf: (intervention: string) => string;
  readonly unitOf: (intervention: string) => string;
  /** The time an infusion's amount is counted over; undefined = a single dose. */
  readonly ratePerOf: (intervention: string) => 'min' | 'h' | undefined;
}

/** The names of a library. */
export function packNames(library: Pick<Library, 'interventions'>): PackNames {
  const items = new Map(library.interventions.map((item) => [item.id, item]));
  return {
    nameOf: (id) => items.get(id)?.name ?? id.replaceAll('-', ' '),
    unitOf: (id) => items.get(id)?.unit ?? '',
    ratePerOf: (id) => items.get(id)?.ratePer,
  };
}

/** One part of a line: what it is about, and its words. */
export type Part = readonly [key: string, text: string];

const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

/** "100 to 150 micrograms": the unit once where both ends share it. */
function rangeText(low: number, high: number | undefined, unit: string): string {
  const one = plain(formatAmount(low, unit));
  if (high === undefined || high === low) return one;
  const other = plain(formatAmount(high, unit));
  // "100 to 150 micrograms", but "200 micrograms to 1 mg".
  const at = one.lastIndexOf(' ');
  return other.endsWith(one.slice(at)) ? `${one.slice(0, at)} to ${other}` : `${one} to ${other}`;
}

/** A dose rule: whom it is for, how much, per what time, of what strength, over how long. */
export function doseParts(rule: DoseRule, names: PackNames): readonly Part[] {
  const unit = names.unitOf(rule.intervention);
  const rate = names.ratePerOf(rule.intervention);
  const per = rate === undefined ? '' : rate === 'h' ? ' an hour' : ' a minute';
  const parts: Part[] = (rule.bands ?? []).map((band, i) => [
    `band ${i}`,
    `${bandWords(band)}: ${rangeText(band.amount, band.amountHigh, unit)}${per}`,
  ]);
  if (rule.perKg) {
    const most = rule.perKg.max === undefined ? '' : `, at most ${rangeText(rule.perKg.max, undefined, unit)}${per}`;
    parts.push(['per kg', `${rangeText(rule.perKg.amount, rule.perKg.amountHigh, unit)} for each kg${per}${most}`]);
  }
  for (const [i, band] of (rule.table ?? []).entries())
    parts.push([
      `table ${i}`,
      `${i === 0 ? 'or by its table, ' : ''}${bandWords(band)}: ${rangeText(band.amount, band.amountHigh, unit)}${per}`,
    ]);
  if (rule.concentration !== undefined) parts.push(['strength', `as ${rule.concentration}`]);
  if (rule.overMs !== undefined) parts.push(['over', `over ${durationText(rule.overMs)}`]);
  return parts;
}

/** Notes of a dose rule's bands, apart: they say why, not how much. */
export const doseNotes = (rule: DoseRule): string =>
  (rule.bands ?? []).flatMap((band) => (band.note === undefined ? [] : [`${bandWords(band)}: ${band.note}`])).join(' ');

function timeStatusText(target: Target): string {
  if (target.dueMs === undefined)
    return target.timeStatus === 'teaching' ? 'a teaching rule' : 'the guideline’s own rule';
  if (target.timeStatus === 'interval') return 'the interval is the guideline’s, the margins are for teaching';
  return target.timeStatus === 'teaching' ? 'teaching time' : 'the guideline’s time';
}

const NTH = ['', 'first', 'second', 'third', 'fourth', 'fifth'];

/** A target, part by part. */
export function targetParts(target: Target, names: PackNames): readonly Part[] {
  const { nameOf } = names;
  const parts: Part[] = [
    ['says', target.says],
    ['by', `by ${listText(target.interventions.map(nameOf), 'or')}`],
  ];
  const of = target.clockIntervention === undefined ? '' : ` of ${nameOf(target.clockIntervention)}`;
  if (target.nth !== undefined) parts.push(['nth', `counts the ${NTH[target.nth] ?? `${target.nth}th`} dose`]);
  if (target.notBeforeMs !== undefined && target.notBeforeMs > 0)
    parts.push(['early', `not before ${durationText(target.notBeforeMs)}`]);
  if (target.dueMs !== undefined)
    parts.push(['due', `due ${durationText(target.dueMs)} from ${target.clock.replaceAll('-', ' ')}${of}`]);
  if (target.limitMs !== undefined) parts.push(['limit', `credit ends at ${durationText(target.limitMs)}`]);
  if (target.mustFollow !== undefined) parts.push(['order', `only after ${nameOf(target.mustFollow)}`]);
  if (target.side !== undefined) parts.push(['side', 'on the side that is ill']);
  if (target.space !== undefined) parts.push(['space', `at the site “${target.space}”`]);
  if (target.contraindicated) parts.push(['never', 'should not be done']);
  if (target.onlyIf) parts.push(['if', `if ${conditionText(target.onlyIf, nameOf)}`]);
  if (target.doseRule !== undefined) parts.push(['dose', `dose judged by ${target.doseRule.replaceAll('-', ' ')}`]);
  parts.push(['status', timeStatusText(target)]);
  parts.push(['weight', `weight ${formatNumber(target.weight)}${target.critical ? ', critical' : ''}`]);
  return parts;
}

/** An observation rule in one line. */
export const observationText = (rule: ObservationRule): string =>
  `${formatNumber(rule.hours)} ${rule.hours === 1 ? 'hour' : 'hours'} from ${rule.from.replaceAll('-', ' ')}: ${rule.says}${rule.needs ? `; needs ${listText(rule.needs, 'and')}` : ''}${rule.orIf ? `; also with ${listText(rule.orIf, 'or')}` : ''}`;

/** The saturation a pack aims for; null = it names none. */
export const oxygenText = ({ oxygenRange: aim }: GuidelinePack): string | null =>
  aim === undefined
    ? null
    : `${formatNumber(aim.lowPercent)} to ${formatNumber(aim.highPercent)} %${aim.aboveIsDanger ? '; more on added oxygen is danger' : ''}`;

/** How far a dose may be off. */
export const toleranceText = ({ doseTolerance: t }: GuidelinePack): string =>
  `right within ${formatNumber(Math.round(t.full * 100))} %, partly within ${formatNumber(Math.round(t.partial * 100))} %, critical from ${formatNumber(t.criticalHigh)} times or down to ${formatNumber(t.criticalLow)} times`;
