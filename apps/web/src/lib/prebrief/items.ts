/**
 * What is ticked before the start and after the end. Ids are stable: they go to the run's log as `prebrief-item`, with the
 * time, and into its export. What a scenario's author wrote is logged by its own words.
 */
import { ARREST_ITEM } from '@breathline/engine';
import { IN_SITU_ITEM } from '@breathline/protocol';
import type { RunEvent, Scenario } from '$lib/api';

export interface Item {
  readonly id: string;
  readonly says: string;
  /** In a word or two, where the whole does not fit. */
  readonly short?: string;
}

/** Stands beside the lists: which published standards they were written after. Own words; no conformity is claimed. */
export const STANDARDS =
  'Informed by the Healthcare Simulation Standards of Best Practice (INACSL, 2021: Prebriefing, Operations) and the ASPiH Standards 2023. Own words; no claim to conform.';

export const MACHINE: readonly Item[] = [
  {
    id: 'ready:backup',
    says: 'A way to go on without the server is at hand: the back-up card is printed',
    short: 'card',
  },
];

export const SCREENS: readonly Item[] = [
  { id: 'ready:sound', says: 'The test sound was heard where learners will stand', short: 'sound' },
  { id: 'ready:seen', says: 'The monitor can be read from where the leader will stand', short: 'view' },
];

/** PB-2 of our own mapping: orientation, roles, rules, plan, evaluation, recording, questions. */
export const SAY: readonly Item[] = [
  { id: 'say:room', says: 'The room and its kit were shown: what works, and what stands for what' },
  { id: 'say:roles', says: 'Everyone knows who plays which role' },
  { id: 'say:real', says: 'What is real and what is not has been said' },
  { id: 'say:aims', says: 'The aims were said, as far as they give nothing away' },
  { id: 'say:plan', says: 'The time plan was said, the debriefing in it' },
  { id: 'say:evaluation', says: 'Said whether it is for learning or is assessed' },
  { id: 'say:recording', says: 'Said who watches, what is kept, and for how long' },
  { id: 'say:calls', says: 'Calls will begin with “this is a simulation”' },
  { id: 'say:questions', says: 'Questions were asked and answered' },
];

/** PB-3: safety to speak, to err and to stop. */
export const SAFETY: readonly Item[] = [
  { id: 'safe:mistakes', says: 'Said aloud: slips are expected here; they are what we learn from' },
  { id: 'safe:confidential', says: 'What is seen and said here stays here' },
  { id: 'safe:not-all-right', says: 'Anyone may say “someone is not all right”; everything then pauses' },
  { id: 'safe:stop', says: '“Stop: real emergency” has been explained, and anyone may call it' },
  { id: 'safe:sit-out', says: 'Anyone may sit out with no reason given, and somebody will look after them' },
];

const NO_LIVE = 'No live drug, needle, device or gas near a human actor';

/** Wherever the drill is held. In the workplace the go/no-go list has them instead. */
const AWAY_FROM_WARD: readonly Item[] = [
  { id: 'ready:drugs', says: 'Simulated drugs are marked and counted in; real ones are out of reach' },
  { id: 'ready:no-live', says: NO_LIVE },
];

/** Where no-go lists come from: abstract read; the items here are common practice of drills in the workplace, no one source. */
export const NO_GO_SOURCE =
  'On no-go decisions: Bajaj and colleagues, Simulation in Healthcare 2018;13:221–224. The items are common practice; your site’s own list comes first.';

/** Where the answer decides whether it may go ahead beside real patients. */
export const IN_SITU: readonly Item[] = [
  { id: 'insitu:acuity', says: 'Acuity: no real patient will wait because of this', short: 'acuity' },
  { id: 'insitu:staffing', says: 'Staffing is safe without the people in the drill', short: 'staffing' },
  { id: 'insitu:nurse-in-charge', says: 'The nurse in charge was told and agrees', short: 'nurse in charge' },
  {
    id: 'insitu:switchboard',
    says: 'Switchboard was told, and knows how a simulated call begins',
    short: 'switchboard',
  },
  { id: 'insitu:families', says: 'Patients and families nearby were told', short: 'families nearby' },
  { id: 'insitu:real-kit', says: 'The real resuscitation kit is untouched and stays sealed', short: 'real kit' },
  { id: 'insitu:drugs-labelled', says: 'Every simulated drug is labelled as one', short: 'drugs labelled' },
  { id: 'insitu:drugs-counted', says: 'Simulated drugs were counted in', short: 'drugs counted' },
  { id: 'insitu:no-live', says: NO_LIVE, short: 'nothing live near actors' },
];

/** Afterwards: nothing simulated stays where a real patient could meet it. */
export const CLEAR_THINGS: readonly Item[] = [
  { id: 'clear:drugs-back', says: 'Simulated drugs were counted back: as many as went in' },
  { id: 'clear:sharps', says: 'Needles and sharps are in the bin; none is left in a bed or a training pad' },
  { id: 'clear:kit', says: 'Kit is restored: what was used is replaced, the real trolley checked and sealed' },
  { id: 'clear:sound', says: 'Alarms and sounds are off; no screen of ours is left showing numbers' },
];
export const CLEAR_PEOPLE: readonly Item[] = [
  { id: 'clear:told', says: 'The nurse in charge and switchboard know that it is over' },
  { id: 'clear:thanked', says: 'Staff, patients and families nearby were thanked' },
  { id: 'clear:hazards', says: 'Hazards found were told to somebody who can mend them' },
  { id: 'clear:debrief-room', says: 'A quiet room is found for the debriefing' },
];
export const CLEAR_DOWN: readonly Item[] = [...CLEAR_THINGS, ...CLEAR_PEOPLE];

/** Whether this run is held where real patients are; logged like a tick. Unsaid, the site's own setting counts. */
export const IN_SITU_MODE = IN_SITU_ITEM;
/** Faculty go on although the go/no-go list is not complete; a note beside it says why. */
export const NOT_GO = 'insitu:not-go';
/** What the note begins with. */
const NOT_GO_WORDS = 'Not go: ';

/** What the author laid out for the room and the kit, each once; then what holds for every room. */
export function roomItems(scenario: Pick<Scenario, 'prebrief' | 'equipment'>, inSitu: boolean): Item[] {
  const written = [...new Set([...scenario.prebrief.room, ...scenario.equipment])];
  return [...written.map((says) => ({ id: says, says })), ...(inSitu ? [] : AWAY_FROM_WARD)];
}

/** Who has to know their part: the family or whoever acts, the one who leads the debriefing. */
export function peopleItems(scenario: Pick<Scenario, 'family'>): Item[] {
  const actors = (scenario.family ?? []).map((one) => one.who);
  return [
    ...(actors.length > 0
      ? [{ id: 'brief:embedded', says: `Briefed on their part, and on how to stop: ${actors.join(', ')}` }]
      : []),
    { id: 'brief:debriefer', says: 'Settled who leads the debriefing' },
  ];
}

/** Where the scenario leaves an arrest to the model, faculty must agree to it too, or they are asked when it comes. */
export function arrestItems(scenario: Pick<Scenario, 'arrest'>): readonly Item[] {
  return scenario.arrest === 'as-model'
    ? [
        {
          id: ARREST_ITEM,
          says: 'Faculty agree: the patient’s heart may stop by itself. Not ticked, the console asks you first',
        },
      ]
    : [];
}

const OURS: ReadonlyMap<string, string> = new Map([
  ...[...MACHINE, ...SCREENS, ...SAY, ...SAFETY, ...AWAY_FROM_WARD, ...IN_SITU, ...CLEAR_DOWN].map(
    (item) => [item.id, item.says] as const,
  ),
  [ARREST_ITEM, 'Faculty agree that the patient’s heart may stop by itself'],
  ['brief:embedded', 'Family and embedded participants are briefed'],
  ['brief:debriefer', 'Settled who leads the debriefing'],
  [IN_SITU_MODE, 'Held where real patients are'],
  [NOT_GO, 'Went on although the list said “not go”'],
]);

/** A logged item in words; what an author wrote is already in words. */
export function itemWords(id: string): string {
  return OURS.get(id) ?? id;
}

interface Line {
  readonly event: RunEvent;
  readonly withdrawnBy: number | null;
}

export interface Tick {
  readonly done: boolean;
  /** When, ISO; empty when not known. */
  readonly at: string;
}

/** How each item stands, by the latest log line of each that was not withdrawn. */
export function ticksOf(log: readonly Line[]): Map<string, Tick> {
  const ticks = new Map<string, Tick>();
  for (const { event, withdrawnBy } of log) {
    if (event.kind === 'prebrief-item' && withdrawnBy === null)
      ticks.set(event.item, { done: event.done, at: event.wallTime ?? '' });
  }
  return ticks;
}

/** The note that says why a run goes on although its list is not complete. Names what was missing when it was written. */
export function notGoNote(missing: readonly Item[], reason: string): string {
  return `${NOT_GO_WORDS}${missing.map((item) => item.short ?? item.says).join(', ')}. Reason: ${reason.trim()}`.slice(
    0,
    1_900,
  );
}

/** The last such reason in the log, with its time; null when none was given or it was taken back. */
export function notGoReason(log: readonly Line[]): { readonly text: string; readonly at: string } | null {
  if (ticksOf(log).get(NOT_GO)?.done !== true) return null;
  const note = log.findLast(
    ({ event, withdrawnBy }) => event.kind === 'note' && withdrawnBy === null && event.text.startsWith(NOT_GO_WORDS),
  )?.event;
  return note?.kind === 'note' ? { text: note.text.slice(NOT_GO_WORDS.length), at: note.wallTime ?? '' } : null;
}

/** "14:05", local; empty for a bad or missing instant. */
export function hourText(iso: string): string {
  const at = new Date(iso);
  return iso === '' || Number.isNaN(at.getTime())
    ? ''
    : at.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}
