/** The code this device joined with, kept for this tab so that a reload of the monitor finds its run again. */
import type { JoinAnswer } from './shapes.ts';

const KEY = 'breathline-join-code';

const SITE_KEY = 'breathline-site';

let ticket: string | null = null;

/** A learners' code has so many letters and digits, the crew's so many. */
export const LEARNER_CODE_LENGTH = 6;
export const CREW_CODE_LENGTH = 8;

/** Letters and digits only, upper case: what people type with spaces and dashes is the same code. */
export function tidyCode(text: string): string {
  return text
    .toUpperCase()
    .replace(/[^A-Z0-9]/g, '')
    .slice(0, CREW_CODE_LENGTH);
}

/** Keeps the code for this tab and, until the monitor takes it, the one-use ticket that came with it. */
export function keepJoinCode(code: string, firstTicket: string | null = null): void {
  ticket = firstTicket;
  try {
    sessionStorage.setItem(KEY, code);
  } catch {
    // Storage may be barred; the code then has to be typed again after a reload.
  }
}

export function keptJoinCode(): string | null {
  try {
    return sessionStorage.getItem(KEY);
  } catch {
    return null;
  }
}

/** The ticket the join page got, once; null after. Hand it to `new LiveMonitor(code, takeJoinTicket())`. */
export function takeJoinTicket(): string | null {
  const held = ticket;
  ticket = null;
  return held;
}

/** Keeps what the site has set for learners' screens, for this tab. */
export function keepSite(site: JoinAnswer['site']): void {
  try {
    if (site) sessionStorage.setItem(SITE_KEY, JSON.stringify(site));
  } catch {
    // Storage may be barred; the next join tells it again.
  }
}

/** What the site had set when this tab last joined; null when not known. Not checked: take nothing in it for granted. */
export function keptSite(): unknown {
  try {
    return JSON.parse(sessionStorage.getItem(SITE_KEY) ?? 'null');
  } catch {
    return null;
  }
}
