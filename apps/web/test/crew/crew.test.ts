/** Crew phones: what is due, what is fresh, how a tick stands, and what a phone keeps of its place. */
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { CrewFrame } from '@breathline/protocol';
import { crewOutbox, keptCrewPlace, leaveCrew, takeCrewPlace, takeCrewTicket } from '../../src/lib/api/crew-store.ts';
import { tidyCode } from '../../src/lib/api/join-store.ts';
import { byLetter, dueNow, fresh, FRESH_MS, partsOf } from '../../src/lib/crew/prompts.ts';
import { tickOf } from '../../src/lib/crew/ticks.ts';

const prompt = (cue: string, by: string, dueAtMs: number, spokenAtMs: number | null = null) => ({
  cue,
  by,
  says: `${cue} says`,
  dueAtMs,
  spokenAtMs,
});

describe('a prompt sheet', () => {
  const prompts = [prompt('b', 'Father', 9_000), prompt('a', 'Nurse', 3_000), prompt('c', 'Nurse', 1_000, 2_000)];

  it('shows what is due and unspoken, longest due first', () => {
    expect(dueNow(prompts, [], new Set()).map((each) => each.cue)).toEqual(['a', 'b']);
  });

  it('keeps to the parts this phone plays, and drops at once what was just tapped', () => {
    expect(dueNow(prompts, ['Father'], new Set()).map((each) => each.cue)).toEqual(['b']);
    expect(dueNow(prompts, [], new Set(['a'])).map((each) => each.cue)).toEqual(['b']);
    expect(partsOf(prompts)).toEqual(['Father', 'Nurse']);
  });

  it('takes a part written large and small for one: its lines reach the phone that plays it', () => {
    const mixed = [prompt('d', 'club leader', 1_000), prompt('e', 'Club leader', 2_000)];
    expect(partsOf(mixed)).toEqual(['Club leader']);
    expect(dueNow(mixed, ['Club leader'], new Set()).map((each) => each.cue)).toEqual(['d', 'e']);
  });

  it('says how the patient is one line a letter, in the order of the letters', () => {
    const lines = [
      { letter: 'exposure', text: 'Weals.' },
      { letter: 'airway', text: 'Talks.' },
      { letter: 'airway', text: 'Lips swollen.' },
    ] as const;
    expect(byLetter(lines).map(({ letter, text }) => `${letter} ${text}`)).toEqual([
      'A Talks. Lips swollen.',
      'E Weals.',
    ]);
  });

  it('a happening stays at the top for a while, the newest first', () => {
    const happening = (seq: number, atMs: number) => ({ seq, what: 'phone', text: '', atMs });
    const all = [happening(1, 0), happening(2, 50_000), happening(3, 60_000)];
    expect(fresh(all, FRESH_MS + 1).map((each) => each.seq)).toEqual([3, 2]);
  });
});

describe('an observer’s tick', () => {
  const behaviour: CrewFrame['behaviours'][number] = { id: 'loop', says: 'Closes the loop', seen: 'partly' };

  it('stands as tapped here while the server has not answered, the last tap counting', () => {
    expect(tickOf(behaviour, [])).toEqual({ seen: 'partly', rating: null, waiting: false });
    const tick = (seen: 'seen' | 'not-seen') => ({ kind: 'behaviour-ticked', behaviour: 'loop', seen }) as const;
    expect(tickOf(behaviour, [tick('seen'), tick('not-seen')])).toEqual({
      seen: 'not-seen',
      rating: null,
      waiting: true,
    });
    // A tick after a rating takes the rating back; a rating stands for its tick.
    expect(tickOf({ ...behaviour, rating: 3 }, [])).toMatchObject({ rating: 3 });
    expect(tickOf({ ...behaviour, rating: 3 }, [tick('seen')])).toMatchObject({ rating: null });
    expect(tickOf(behaviour, [{ ...tick('seen'), rating: 5 }])).toMatchObject({ seen: 'seen', rating: 5 });
    expect(tickOf(behaviour, [{ ...tick('seen'), behaviour: 'other' }])).toEqual({
      seen: 'partly',
      rating: null,
      waiting: false,
    });
  });
});

describe('a crew phone’s place', () => {
  let kept: Map<string, string>;
  beforeEach(() => {
    kept = new Map();
    vi.stubGlobal('localStorage', {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => void kept.set(key, value),
      removeItem: (key: string) => void kept.delete(key),
    });
    leaveCrew();
  });

  it('keeps its seat when it joins the same run again, in whatever part', () => {
    const first = takeCrewPlace('ABCDEFGH', 'observer', 't1', 'p1');
    expect(takeCrewTicket()).toEqual({ ticket: 't1', pass: 'p1' });
    expect(takeCrewTicket()).toBeNull();
    expect(takeCrewPlace('ABCDEFGH', 'participant', 't2', null).seat).toBe(first.seat);
    expect(keptCrewPlace()?.role).toBe('participant');
  });

  it('takes a new seat, and no old taps, into another run', () => {
    const first = takeCrewPlace('ABCDEFGH', 'observer', 't1', null);
    crewOutbox.save({ clientId: 'c', n: 1, taps: [{ n: 1, command: { kind: 'mark' }, agoMs: 0, wallMs: 0 }] });
    expect(crewOutbox.load()?.taps).toHaveLength(1);
    expect(takeCrewPlace('HGFEDCBA', 'observer', 't2', null).seat).not.toBe(first.seat);
    expect(crewOutbox.load()).toBeNull();
  });

  it('lasts for the page where storage is barred, and is gone after leaving', () => {
    vi.stubGlobal('localStorage', {
      getItem: () => {
        throw new Error('barred');
      },
      setItem: () => {
        throw new Error('barred');
      },
      removeItem: () => {
        throw new Error('barred');
      },
    });
    takeCrewPlace('ABCDEFGH', 'observer', 't1', null);
    expect(keptCrewPlace()?.code).toBe('ABCDEFGH');
    leaveCrew();
    expect(keptCrewPlace()).toBeNull();
  });

  it('reads a code as people type it', () => {
    expect(tidyCode(' abcd-ef gh9 ')).toBe('ABCDEFGH');
    expect(tidyCode('ac7 de9')).toBe('AC7DE9');
  });
});
