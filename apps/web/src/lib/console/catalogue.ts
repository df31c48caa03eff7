/**
 * The one catalogue of things a team can do, arranged for a thumb: ten commonest, then airway to exposure, team and
 * devices. Everything comes from the run's own pinned library; nothing here knows a drug by name except adrenaline,
 * whose steps and clock the console treats specially.
 */
import type { DeviceId, Intervention, Library, Scenario } from '@breathline/scenario';

/** A place on the console's second row: the five letters, the team, the monitor's devices. */
export type SectionId = 'airway' | 'breathing' | 'circulation' | 'disability' | 'exposure' | 'team' | 'devices';

export interface Section {
  readonly id: SectionId;
  /** The one letter (or short word) on the tab. */
  readonly letter: string;
  readonly title: string;
  readonly items: readonly Intervention[];
}

/** How many actions need one tap only. */
export const ONE_TAP_COUNT = 10;

const SECTIONS: readonly { readonly id: SectionId; readonly letter: string; readonly title: string }[] = [
  { id: 'airway', letter: 'A', title: 'Airway' },
  { id: 'breathing', letter: 'B', title: 'Breathing' },
  { id: 'circulation', letter: 'C', title: 'Circulation' },
  { id: 'disability', letter: 'D', title: 'Disability' },
  { id: 'exposure', letter: 'E', title: 'Exposure' },
  { id: 'team', letter: 'Team', title: 'Team' },
  { id: 'devices', letter: 'Kit', title: 'Monitoring kit' },
];

/** Monitor devices in the order they are usually laid on, with the words faculty use. */
export const DEVICES: readonly { readonly id: DeviceId; readonly name: string; readonly short: string }[] = [
  { id: 'oximeter', name: 'Oximeter probe', short: 'SpO2' },
  { id: 'ecg', name: 'ECG leads', short: 'ECG' },
  { id: 'bp-cuff', name: 'Blood pressure cuff', short: 'Cuff' },
  { id: 'capnography', name: 'Capnography line', short: 'CO2' },
  { id: 'thermometer', name: 'Thermometer', short: 'Temp' },
  { id: 'glucose-meter', name: 'Glucose meter', short: 'Glucose' },
];

/** Does this action carry an amount that faculty may or may not have seen drawn up? */
export function isDosed(item: Intervention): boolean {
  return (item.kind === 'drug' || item.kind === 'fluid') && item.unit !== undefined;
}

/** Adrenaline by any route: the drug whose clock is always in view. */
export function isAdrenaline(item: Intervention): boolean {
  return item.drug === 'adrenaline' || item.drug === 'epinephrine';
}

/** Adrenaline given as a single injection: these doses run the clock. A nebuliser or an infusion does not. */
export function isAdrenalineDose(item: Intervention): boolean {
  return (
    isAdrenaline(item) &&
    item.ratePer === undefined &&
    (item.route === 'im' || item.route === 'iv' || item.route === 'io')
  );
}

/** The intramuscular adrenaline of a library, which has its own place at the top; undefined if the library has none. */
export function adrenalineIm(library: Library): Intervention | undefined {
  return library.interventions.filter((item) => isAdrenaline(item) && item.route === 'im').sort(byRank)[0];
}

/**
 * The adrenaline that has its own place at the top and its own clock: only where the run's pack gives a dose of it or asks
 * for it. In any other illness the largest button of the console would be the wrong drug.
 */
export function heroOf(library: Library, packId: string): Intervention | undefined {
  const item = adrenalineIm(library);
  const pack = library.packs.find(({ id }) => id === packId);
  const asked =
    pack === undefined ||
    pack.doses.some(({ intervention }) => intervention === item?.id) ||
    pack.targets.some((target) => target.contraindicated !== true && target.interventions.includes(item?.id ?? ''));
  return asked ? item : undefined;
}

/** The intervention with this id, or undefined. */
export function interventionById(library: Library, id: string): Intervention | undefined {
  return library.interventions.find((item) => item.id === id);
}

/** Where an intervention is filed. */
export function sectionOf(item: Intervention): SectionId {
  return item.kind === 'device' || item.device !== undefined ? 'devices' : item.group;
}

/** Commonest first; the rest keep the order the formulary's authors gave them. */
function byRank(a: Intervention, b: Intervention): number {
  return (a.oneTap ?? 1000) - (b.oneTap ?? 1000);
}

/** Airway to exposure, team, kit: every intervention in exactly one section; a section with nothing in it stays. */
export function sections(library: Library): readonly Section[] {
  return SECTIONS.map((section) => ({
    ...section,
    items: library.interventions.filter((item) => sectionOf(item) === section.id).sort(byRank),
  }));
}

/**
 * The ten one-tap actions beside adrenaline IM and the devices, which have places of their own. What the scenario's
 * author marked handy comes first, then the formulary's own ranks. The order never changes during a run, so a thumb
 * can learn it.
 */
export function oneTapActions(library: Library, scenario: Scenario, limit = ONE_TAP_COUNT): readonly Intervention[] {
  const chosen = new Map<string, Intervention>();
  const hero = adrenalineIm(library)?.id;
  const consider = (item: Intervention | undefined) => {
    if (item && item.id !== hero && sectionOf(item) !== 'devices' && chosen.size < limit) chosen.set(item.id, item);
  };
  for (const id of scenario.handy) consider(interventionById(library, id));
  for (const item of [...library.interventions].sort(byRank)) if (item.oneTap !== undefined) consider(item);
  return [...chosen.values()];
}

/** One of solo mode's six: a heading, and the few choices under it that log in one tap. */
export interface SoloGroup {
  readonly id: 'oxygen' | 'position' | 'call' | 'fluid';
  readonly title: string;
  readonly items: readonly Intervention[];
}

/** Oxygen by a machine that somebody has to fetch: no neighbour of a mask, unless the author put it there. */
function needsMachine({ oxygen }: Intervention): boolean {
  return oxygen?.device === 'niv' || oxygen?.device === 'cpap' || oxygen?.device === 'high-flow-nasal';
}

/**
 * Solo mode's four groups beside adrenaline and "reassessed": at most `each` choices. What the scenario's author marked handy
 * comes first, then the commonest of the formulary.
 */
export function soloGroups(library: Library, scenario: Scenario, each = 3): readonly SoloGroup[] {
  const handy = (item: Intervention): number => {
    const at = scenario.handy.indexOf(item.id);
    return at < 0 ? Infinity : at;
  };
  const first = (a: Intervention, b: Intervention): number => {
    const [left, right] = [handy(a), handy(b)];
    return left === right ? byRank(a, b) || Number(needsMachine(a)) - Number(needsMachine(b)) : left - right;
  };
  const pick = (keep: (item: Intervention) => boolean) => library.interventions.filter(keep).sort(first).slice(0, each);
  return [
    { id: 'oxygen', title: 'Oxygen', items: pick((item) => item.kind === 'oxygen') },
    { id: 'position', title: 'Position', items: pick((item) => item.kind === 'posture') },
    { id: 'call', title: 'Call', items: pick((item) => item.kind === 'call') },
    { id: 'fluid', title: 'Fluid', items: pick((item) => item.kind === 'fluid') },
  ];
}

/** The formulary's two looks at everything: the first, and every later one. */
const FIRST_LOOK = 'assess-a-to-e';
const LOOKED_AGAIN = 'reassess-a-to-e';

/** The assessment that looks at everything A to E; the first look when nothing was assessed before. */
export function fullAssessment(library: Library, first: boolean): Intervention | undefined {
  const wanted = interventionById(library, first ? FIRST_LOOK : LOOKED_AGAIN);
  if (wanted) return wanted;
  const reach = (item: Intervention) => item.reveals?.letters?.length ?? 0;
  const whole = library.interventions.filter((item) => item.kind === 'assessment' && reach(item) > 0);
  return whole.sort((a, b) => reach(b) - reach(a) || byRank(a, b))[0];
}

/** The looks, listens and feels filed under one letter, for the chips on that line of the say-now card. */
export function letterAssessments(library: Library, letter: string): readonly Intervention[] {
  return library.interventions.filter((item) => item.kind === 'assessment' && item.group === letter);
}

/** A short name that fits a tile. */
export function tileName(item: Intervention): string {
  return item.short ?? item.name;
}
