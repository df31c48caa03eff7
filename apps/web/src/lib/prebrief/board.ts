/** The readiness board as data: groups of things looked at by the machine and things ticked by people. Pure. */
import type { FacultyFrame, ReadyAnswer, Scenario } from '$lib/api';
import type { IconName } from '$lib/ui';
import { backupFact, sizeText } from './store-copy.ts';

export { sizeText };
import {
  IN_SITU,
  IN_SITU_MODE,
  MACHINE,
  SAFETY,
  SAY,
  SCREENS,
  arrestItems,
  hourText,
  notGoReason,
  peopleItems,
  roomItems,
  ticksOf,
  type Item,
  type Tick,
} from './items.ts';

/** Looked at by the machine: true, false, or null while it is not known. */
export interface Fact {
  readonly id: string;
  readonly says: string;
  readonly ok: boolean | null;
}

export type GroupId = 'insitu' | 'screens' | 'machine' | 'room' | 'people' | 'say' | 'safety';

export interface Group {
  readonly id: GroupId;
  readonly title: string;
  readonly icon: IconName;
  readonly facts: readonly Fact[];
  readonly items: readonly Item[];
  readonly done: number;
  readonly of: number;
}

export interface BoardInput {
  readonly scenario: Pick<Scenario, 'prebrief' | 'equipment' | 'family' | 'arrest'>;
  readonly frame: FacultyFrame | null;
  /** The line to the server is up. */
  readonly connected: boolean;
  /** Null while not known. */
  readonly ready: ReadyAnswer | null;
  readonly ticks: ReadonlyMap<string, Tick>;
  readonly inSitu: boolean;
}

/** An hour's run with pictures stays well under this; common practice, no source. */
export const ENOUGH_DISK_BYTES = 500 * 1024 * 1024;

function screenFacts({ frame, connected }: BoardInput): Fact[] {
  const monitors = frame?.screens.monitors ?? 0;
  return [
    {
      id: 'monitors',
      says: monitors === 0 ? 'No learners’ screen has joined' : `Learners’ screens joined: ${monitors}`,
      ok: frame === null ? null : connected && monitors > 0,
    },
  ];
}

function machineFacts({ ready, connected, frame }: BoardInput): Fact[] {
  const free = ready?.freeDiskBytes ?? null;
  return [
    {
      id: 'server',
      says: connected ? 'The server answers' : 'The server does not answer',
      ok: frame === null ? null : connected,
    },
    {
      id: 'disk',
      says:
        ready === null
          ? 'Disk: not known yet'
          : free === null
            ? 'Disk: the system does not say how much is free'
            : `Disk: ${sizeText(free)} free${free < ENOUGH_DISK_BYTES ? '; free at least 500 MB' : ''}`,
      ok: free === null ? null : free >= ENOUGH_DISK_BYTES,
    },
    {
      id: 'log',
      says:
        ready === null
          ? 'Log on disk: not known yet'
          : ready.dataFolderWritable
            ? `The log can be written and synced${ready.lastSyncAt ? `; last at ${hourText(ready.lastSyncAt)}` : ''}`
            : 'The data folder can not be written: mend this before the start',
      ok: ready === null ? null : ready.dataFolderWritable,
    },
    backupFact(ready?.backup ?? null, Date.now()),
  ];
}

/** One for each role the author wrote. A role is given when a seat has it. */
function roleFacts({ scenario, frame }: BoardInput): Fact[] {
  const taken = new Set((frame?.view.live?.seats ?? []).map((seat) => seat.teamRole));
  return scenario.prebrief.roles.map(({ role }) => ({ id: role, says: role, ok: taken.has(role) }));
}

/** All groups, those that decide first. */
export function boardOf(input: BoardInput): Group[] {
  const { scenario, ticks, inSitu } = input;
  const group = (id: GroupId, title: string, icon: IconName, facts: Fact[], items: readonly Item[]): Group => ({
    id,
    title,
    icon,
    facts,
    items,
    done: facts.filter(({ ok }) => ok === true).length + items.filter((item) => ticks.get(item.id)?.done).length,
    of: facts.length + items.length,
  });
  return [
    ...(inSitu ? [group('insitu', 'Go or no-go', 'door', [], IN_SITU)] : []),
    group('screens', 'Screens', 'screen', screenFacts(input), SCREENS),
    group('machine', 'Machine', 'console', machineFacts(input), MACHINE),
    group('room', 'Room and kit', 'syringe', [], roomItems(scenario, inSitu)),
    group('people', 'People', 'team', roleFacts(input), peopleItems(scenario)),
    group('say', 'Said aloud', 'speech', [], SAY),
    group('safety', 'Safe to speak', 'hand', [], [...SAFETY, ...arrestItems(scenario)]),
  ];
}

/** Of all groups together. */
export function sumOf(groups: readonly Group[]): { readonly done: number; readonly of: number } {
  return { done: groups.reduce((sum, { done }) => sum + done, 0), of: groups.reduce((sum, each) => sum + each.of, 0) };
}

/** What still says "not go"; empty when in situ is off or all is ticked. */
export function notGoItems(inSitu: boolean, ticks: ReadonlyMap<string, Tick>): Item[] {
  return inSitu ? IN_SITU.filter((item) => ticks.get(item.id)?.done !== true) : [];
}

/** Is a run in situ? Its own switch says so, else what the site does. */
export const isInSitu = (ticks: ReadonlyMap<string, Tick>, siteInSitu: boolean): boolean =>
  ticks.get(IN_SITU_MODE)?.done ?? siteInSitu;

/** In situ, the go or no-go list is not complete, and nobody said why to go on. */
export function isNotGo(log: Parameters<typeof ticksOf>[0], siteInSitu: boolean): boolean {
  const ticks = ticksOf(log);
  return notGoItems(isInSitu(ticks, siteInSitu), ticks).length > 0 && notGoReason(log) === null;
}
