/**
 * What a crew phone keeps so that it finds its run, its part and its own seat again: after a reload, after the browser put
 * the page away, after the battery. No name, nothing about the person; the seat is a number drawn here. Wiped by "leave".
 */
import { newClientId, type KeptTaps, type Outbox } from './run-socket.ts';
import type { CrewRole } from './shapes.ts';

const KEY = 'breathline-crew';
const TAPS_KEY = 'breathline-crew-taps';

export interface CrewPlace {
  readonly code: string;
  readonly role: CrewRole;
  readonly seat: string;
}

/** The ticket and pass a join just brought, for the page that comes next. */
let fresh: { readonly ticket: string; readonly pass: string | null } | null = null;

function read(key: string): unknown {
  try {
    return JSON.parse(localStorage.getItem(key) ?? 'null');
  } catch {
    return null;
  }
}

function write(key: string, value: unknown): void {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Storage barred: this lasts until the page is closed.
  }
}

let held: CrewPlace | null = null;

export function keptCrewPlace(): CrewPlace | null {
  const kept = (held ?? read(KEY)) as Partial<CrewPlace> | null;
  if (!kept || typeof kept.code !== 'string' || typeof kept.role !== 'string' || typeof kept.seat !== 'string') {
    return null;
  }
  return { code: kept.code, role: kept.role, seat: kept.seat };
}

/** Takes a place: the same code keeps the seat this phone had. */
export function takeCrewPlace(code: string, role: CrewRole, ticket: string, pass: string | null): CrewPlace {
  const before = keptCrewPlace();
  if (before !== null && before.code !== code) write(TAPS_KEY, null);
  held = { code, role, seat: before?.code === code ? before.seat : newClientId() };
  write(KEY, held);
  fresh = { ticket, pass };
  return held;
}

/** The ticket and pass of the join just made, once. */
export function takeCrewTicket(): { readonly ticket: string; readonly pass: string | null } | null {
  const taken = fresh;
  fresh = null;
  return taken;
}

export function leaveCrew(): void {
  held = null;
  fresh = null;
  write(KEY, null);
  write(TAPS_KEY, null);
}

/** Taps of this phone that wait for the server, over reloads. */
export const crewOutbox: Outbox = {
  load() {
    const kept = read(TAPS_KEY) as KeptTaps | null;
    return kept && typeof kept.clientId === 'string' && Array.isArray(kept.taps) ? kept : null;
  },
  save(kept) {
    write(TAPS_KEY, kept);
  },
};
